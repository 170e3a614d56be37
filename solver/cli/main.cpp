// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/program.hpp"

int main(int argc, char** argv) {
    return cellgrade::run_program(argc, argv);
}
