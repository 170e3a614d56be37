// SPDX-License-Identifier: Apache-2.0
#include "tests/support/compare.hpp"
#include "tests/support/indentation.hpp"
#include <doctest/doctest.h>
#include <cstdio>
#include <cstdlib>
#include <numbers>
using namespace cellgrade;
using namespace cellgrade::test;
double env(const char* k,double d){const char*s=getenv(k);return s?atof(s):d;}
TEST_CASE("try sphere") {
    const double nu = env("NU",0.3), E=10e6, R=10e-3, d=env("D",0.3e-3), a=std::sqrt(R*d);
    const double h=env("H",0.25)*a;
    const auto g=graded(h, 1.3*a, env("RATIO",1.6), env("FAR",40)*a);
    TetMesh mesh=graded_block(g,g,g,2.5*a);
    const double L=1.8*a, e=0.1*h, gap=0.12*h; int ns=int(std::ceil((L+e)/h));
    const Index rigid=add_rigid(mesh,ns,ns,[&](double u,double v){ double X=-e+u*(L+e), Y=-e+v*(L+e); return Vec3(X,Y,gap+R-std::sqrt(R*R-X*X-Y*Y)); });
    Pressed p=press(mesh,rigid,{.polymer={.E=E,.nu=nu,.void_fraction=0.0},.travel=d+gap,.ramp_share=env("RAMP",.5),.crossings=env("CROSS",1),.damping=env("DAMP",2)});
    const double Es=E/(1-nu*nu), F=4.0/3.0*Es*std::sqrt(R)*std::pow(p.depth,1.5);
    printf("tets %zu depth %g of %g F %g want %g ratio %.4f a %g want %g ratio %.4f kin %g bal %g\n",mesh.tets.size(),p.depth,d,4*p.force,F,4*p.force/F,std::sqrt(2.5*p.mean_square),std::sqrt(R*p.depth),std::sqrt(2.5*p.mean_square/(R*p.depth)),p.kinetic_share,p.pair_balance);
}
