// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/expression.hpp"

#include "solver/core/error.hpp"

#include <muParser.h>

#include <memory>
#include <mutex>
#include <numbers>
#include <vector>

namespace cellgrade {
namespace {

constexpr std::size_t longest = 4000;

/// One compiled copy of the formula and the variables it is bound to.
class Compiled {
public:
    explicit Compiled(const std::string& formula) {
        parser_.DefineConst("pi", std::numbers::pi);
        parser_.DefineVar("x", &at_[0]);
        parser_.DefineVar("y", &at_[1]);
        parser_.DefineVar("z", &at_[2]);
        parser_.SetExpr(formula);
    }

    std::array<bool, 3> used() const {
        const auto& names = parser_.GetUsedVar();
        return {names.contains("x"), names.contains("y"), names.contains("z")};
    }
    double value(const Vec3& angle) {
        at_ = {angle.x(), angle.y(), angle.z()};
        return parser_.Eval();
    }
    int n_results() const { return parser_.GetNumResults(); }

private:
    mu::Parser parser_;
    std::array<double, 3> at_{};
};

class Pool {
public:
    explicit Pool(std::string formula) : formula_(std::move(formula)) {}

    std::unique_ptr<Compiled> take() {
        {
            const std::lock_guard<std::mutex> lock(mutex_);
            if (!free_.empty()) {
                auto compiled = std::move(free_.back());
                free_.pop_back();
                return compiled;
            }
        }
        return std::make_unique<Compiled>(formula_);
    }
    void give_back(std::unique_ptr<Compiled> compiled) {
        const std::lock_guard<std::mutex> lock(mutex_);
        free_.push_back(std::move(compiled));
    }

private:
    std::string formula_;
    std::mutex mutex_;
    std::vector<std::unique_ptr<Compiled>> free_;
};

bool assigns(const std::string& formula) {
    for (std::size_t k = 0; k < formula.size(); ++k) {
        if (formula[k] != '=')
            continue;
        const bool doubled = k + 1 < formula.size() && formula[k + 1] == '=';
        if (!doubled && (k == 0 || std::string("<>!=").find(formula[k - 1]) == std::string::npos))
            return true;
        k += doubled ? 1 : 0;
    }
    return false;
}

} // namespace

ExpressionField compile_expression(const std::string& formula) {
    CELLGRADE_CHECK(!formula.empty() && formula.size() <= longest,
                    "a formula of 1 to {} characters is needed, {} given", longest, formula.size());
    CELLGRADE_CHECK(!assigns(formula), "'=' is not allowed; give the value alone, such as "
                                       "\"sin(x)*cos(y)\"");
    const auto pool = std::make_shared<Pool>(formula);
    ExpressionField field;
    try {
        auto first = pool->take();
        (void)first->value(Vec3(0.1, 0.2, 0.3));
        CELLGRADE_CHECK(first->n_results() == 1, "{} values are given; one is needed",
                        first->n_results());
        field.varies = first->used();
        pool->give_back(std::move(first));
    } catch (const mu::Parser::exception_type& e) {
        throw input_error("{} Variables are x, y, z and run from 0 to 2*pi.", e.GetMsg());
    }
    field.function = [pool](std::span<const Vec3> points, std::span<double> values) {
        auto compiled = pool->take();
        for (std::size_t k = 0; k < points.size(); ++k)
            values[k] = compiled->value(2.0 * std::numbers::pi * points[k]);
        pool->give_back(std::move(compiled));
    };
    return field;
}

} // namespace cellgrade
