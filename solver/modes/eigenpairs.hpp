// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/SparseCore>

namespace cellgrade {

/// Eigenvalues in falling order with one column a vector.
struct Eigenpairs {
    Eigen::VectorXd values;
    Eigen::MatrixXd vectors;
};

/// The `count` largest mu of Q x = mu P x, P positive definite, both symmetric and sparse.
///
/// Lanczos finds them; the pivots of mu P - Q then prove that no others lie above the last, as its
/// negative pivots are as many as the mu above. Where some were missed (repeated values) more are
/// asked for.
/// @throws Error (Input) when P is not positive definite, the message naming `what`; (Run) when the
///         iteration stops at its limit or the count cannot be proved
[[nodiscard]] Eigenpairs largest_eigenpairs(const Eigen::SparseMatrix<double>& Q,
                                            const Eigen::SparseMatrix<double>& P,
                                            int count,
                                            const char* what);

/// Largest eigenvalue of a symmetric matrix. @throws Error (Run) when it does not converge
[[nodiscard]] double largest_eigenvalue(const Eigen::SparseMatrix<double>& A);

} // namespace cellgrade
