// SPDX-License-Identifier: Apache-2.0
// Reads a 3MF file with lib3mf, a reader that is not ours, and prints what it sees as JSON.
#include <Model/COM/NMR_DLLInterfaces.h>

#include <cstdio>
#include <cstdlib>
#include <vector>

using namespace NMR;

namespace {

void check(LIB3MFRESULT result, const char* what) {
    if (result == LIB3MF_OK)
        return;
    std::fprintf(stderr, "lib3mf: %s: error %#x\n", what, static_cast<unsigned>(result));
    std::exit(1);
}

double six_volumes(const MODELMESHVERTEX& a, const MODELMESHVERTEX& b, const MODELMESHVERTEX& c) {
    const auto x = [](const MODELMESHVERTEX& v, int i) { return double{v.m_fPosition[i]}; };
    double sum = 0.0;
    for (int i = 0; i < 3; ++i) {
        const int j = (i + 1) % 3, k = (i + 2) % 3;
        sum += x(a, i) * (x(b, j) * x(c, k) - x(b, k) * x(c, j));
    }
    return sum;
}

void print_object(PLib3MFModelMeshObject* object) {
    DWORD n_vertices = 0, n_triangles = 0, n_beams = 0, read = 0;
    BOOL manifold = false;
    double least_length = 0.0;
    check(lib3mf_meshobject_getvertexcount(object, &n_vertices), "vertex count");
    check(lib3mf_meshobject_gettrianglecount(object, &n_triangles), "triangle count");
    check(lib3mf_meshobject_getbeamcount(object, &n_beams), "beam count");
    check(lib3mf_meshobject_ismanifoldandoriented(object, &manifold), "manifold");
    check(lib3mf_meshobject_getbeamlattice_minlength(object, &least_length), "minlength");
    std::vector<MODELMESHVERTEX> vertices(n_vertices + 1);
    std::vector<MODELMESHTRIANGLE> triangles(n_triangles + 1);
    check(lib3mf_meshobject_getvertices(object, vertices.data(), n_vertices, &read), "vertices");
    check(lib3mf_meshobject_gettriangleindices(object, triangles.data(), n_triangles, &read),
          "triangles");
    double volume = 0.0, beam_volume = 0.0;
    for (DWORD i = 0; i < n_triangles; ++i) {
        const DWORD* corner = triangles[i].m_nIndices;
        volume += six_volumes(vertices[corner[0]], vertices[corner[1]], vertices[corner[2]]) / 6.0;
    }
    for (DWORD i = 0; i < n_beams; ++i) {
        MODELMESHBEAM beam;
        check(lib3mf_meshobject_getbeam(object, i, &beam), "beam");
        double squared = 0.0;
        for (int k = 0; k < 3; ++k) {
            const double d = double{vertices[beam.m_nIndices[1]].m_fPosition[k]} -
                             double{vertices[beam.m_nIndices[0]].m_fPosition[k]};
            squared += d * d;
        }
        beam_volume +=
            3.14159265358979 * beam.m_dRadius[0] * beam.m_dRadius[1] * __builtin_sqrt(squared);
    }
    std::printf("\"vertices\": %u, \"triangles\": %u, \"manifold\": %s, \"volume\": %.10g, "
                "\"beams\": %u, \"beam_volume\": %.10g, \"minlength\": %.10g",
                n_vertices, n_triangles, manifold ? "true" : "false", volume, n_beams, beam_volume,
                least_length);
}

} // namespace

int main(int argc, char** argv) {
    if (argc != 2)
        return 2;
    PLib3MFModel* model = nullptr;
    PLib3MFModelReader* reader = nullptr;
    PLib3MFModelResourceIterator* objects = nullptr;
    DWORD unit = 0, n_warnings = 0, n_metadata = 0;
    BOOL has_next = false;
    check(lib3mf_createmodel(&model), "model");
    check(lib3mf_model_queryreader(model, "3mf", &reader), "reader");
    check(lib3mf_reader_readfromfileutf8(reader, argv[1]), "read");
    check(lib3mf_reader_getwarningcount(reader, &n_warnings), "warnings");
    check(lib3mf_model_getunit(model, &unit), "unit");
    check(lib3mf_model_getmetadatacount(model, &n_metadata), "metadata");
    check(lib3mf_model_getmeshobjects(model, &objects), "objects");
    check(lib3mf_resourceiterator_movenext(objects, &has_next), "object");
    std::printf("{\"warnings\": %u, \"is_mm\": %s, \"metadata\": %u, ", n_warnings,
                unit == MODELUNIT_MILLIMETER ? "true" : "false", n_metadata);
    if (has_next) {
        PLib3MFModelResource* object = nullptr;
        check(lib3mf_resourceiterator_getcurrent(objects, &object), "object");
        print_object(object);
    }
    std::printf("}\n");
    return 0;
}
