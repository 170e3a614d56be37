// SPDX-License-Identifier: Apache-2.0
#include "solver/modes/eigenpairs.hpp"

#include "solver/core/error.hpp"

#include <Eigen/Dense>
#include <Eigen/SparseCholesky>
#include <Spectra/MatOp/SparseCholesky.h>
#include <Spectra/MatOp/SparseSymMatProd.h>
#include <Spectra/SymEigsSolver.h>
#include <Spectra/SymGEigsSolver.h>

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

using SparseMatrix = Eigen::SparseMatrix<double>;
using Product = Spectra::SparseSymMatProd<double>;
using Cholesky = Spectra::SparseCholesky<double>;

constexpr double value_tolerance = 1e-12;
constexpr int most_restarts = 2000;
constexpr double apart = 1e-6; ///< relative distance of values that count as different

/// Small problems have no room for an iteration.
Eigenpairs dense_eigenpairs(const SparseMatrix& Q, const SparseMatrix& P, Eigen::Index count) {
    const Eigen::GeneralizedSelfAdjointEigenSolver<Eigen::MatrixXd> all{Eigen::MatrixXd(Q),
                                                                        Eigen::MatrixXd(P)};
    return {.values = all.eigenvalues().reverse().head(count),
            .vectors = all.eigenvectors().rowwise().reverse().leftCols(count)};
}

Eigenpairs iterate(const SparseMatrix& Q, Cholesky& factor, Eigen::Index count, const char* what) {
    Product product(Q);
    const Eigen::Index space = std::min(Q.rows(), std::max<Eigen::Index>(3 * count, count + 20));
    Spectra::SymGEigsSolver<Product, Cholesky, Spectra::GEigsMode::Cholesky> solver(product, factor,
                                                                                    count, space);
    solver.init();
    solver.compute(Spectra::SortRule::LargestAlge, most_restarts, value_tolerance);
    if (solver.info() != Spectra::CompInfo::Successful)
        throw run_error(
            "{}: the eigenvalue iteration did not converge in {} restarts for {} values", what,
            most_restarts, count);
    return {.values = solver.eigenvalues(), .vectors = solver.eigenvectors()};
}

/// How many mu lie above `level`; -1 when the factor breaks down.
Eigen::Index count_above(const SparseMatrix& Q, const SparseMatrix& P, double level) {
    const Eigen::SimplicialLDLT<SparseMatrix> factor(SparseMatrix(level * P - Q));
    if (factor.info() != Eigen::Success)
        return -1;
    return (factor.vectorD().array() < 0.0).count();
}

/// Place of the first gap after the values asked for; the size when there is none.
Eigen::Index first_gap(const Eigen::VectorXd& values, Eigen::Index count) {
    Eigen::Index i = count;
    const double scale = std::abs(values[0]);
    while (i < values.size() &&
           values[i - 1] - values[i] <= apart * std::abs(values[i - 1]) + 1e-12 * scale)
        ++i;
    return i;
}

} // namespace

Eigenpairs
largest_eigenpairs(const SparseMatrix& Q, const SparseMatrix& P, int count, const char* what) {
    Cholesky factor(P);
    CELLGRADE_CHECK(factor.info() == Spectra::CompInfo::Successful,
                    "{}: the stiffness is not positive definite; hold the specimen so that it "
                    "cannot move without strain",
                    what);
    const Eigen::Index n = Q.rows();
    if (n <= 120)
        return dense_eigenpairs(Q, P, std::min<Eigen::Index>(count, n));
    Eigen::Index asked = count + 4; // a few more, to find a gap behind the last
    for (int attempt = 0; attempt < 4; ++attempt, asked += asked / 2) {
        const Eigenpairs found = iterate(Q, factor, std::min(asked, n / 3), what);
        const Eigen::Index gap = first_gap(found.values, count);
        if (gap == found.values.size())
            continue;
        const double level = 0.5 * (found.values[gap - 1] + found.values[gap]);
        if (count_above(Q, P, level) == gap)
            return {.values = found.values.head(count), .vectors = found.vectors.leftCols(count)};
    }
    throw run_error("{}: it could not be proved that all of the first {} eigenvalues were found; "
                    "ask for a few more or fewer",
                    what, count);
}

double largest_eigenvalue(const SparseMatrix& A) {
    if (A.rows() <= 40)
        return Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd>(Eigen::MatrixXd(A))
            .eigenvalues()
            .maxCoeff();
    Product product(A);
    Spectra::SymEigsSolver<Product> solver(product, 2, 30);
    solver.init();
    solver.compute(Spectra::SortRule::LargestAlge, most_restarts, 1e-10);
    if (solver.info() != Spectra::CompInfo::Successful)
        throw run_error("largest frequency: the iteration did not converge in {} restarts",
                        most_restarts);
    return solver.eigenvalues()[0];
}

} // namespace cellgrade
