// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/expression.hpp"

#include "solver/core/error.hpp"

#include <muParser.h>

#include <algorithm>
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

/// Number, from 1, of the first bracket that is never closed; 0 when all are.
std::size_t open_bracket(const std::string& formula) {
    std::vector<std::size_t> open;
    for (std::size_t k = 0; k < formula.size(); ++k)
        if (formula[k] == '(')
            open.push_back(k + 1);
        else if (formula[k] == ')' && !open.empty())
            open.pop_back();
    return open.empty() ? 0 : open.front();
}

Error told(const mu::Parser::exception_type& e, const std::string& formula) {
    const std::size_t at =
        std::min(static_cast<std::size_t>(std::max(e.GetPos(), 0)) + 1, formula.size());
    switch (e.GetCode()) {
    case mu::ecUNASSIGNABLE_TOKEN:
        return input_error("'{}' at character {} of the formula is not known; x, y, z run from 0 "
                           "to 2*pi, and pi, sin, cos, tan, exp, ln, sqrt, abs, min and max are "
                           "known",
                           e.GetToken(), at);
    case mu::ecMISSING_PARENS:
        return input_error("the bracket at character {} of the formula is not closed; a ')' is "
                           "needed",
                           open_bracket(formula));
    case mu::ecTOO_MANY_PARAMS:
    case mu::ecTOO_FEW_PARAMS:
        return input_error("{} has too {} arguments, at character {} of the formula", e.GetToken(),
                           e.GetCode() == mu::ecTOO_MANY_PARAMS ? "many" : "few", at);
    case mu::ecUNEXPECTED_EOF:
        return input_error("the formula ends too early, after character {}; a value is missing",
                           formula.size());
    default:
        return input_error("the formula is wrong at character {}, near '{}'; a value such as "
                           "sin(x)*cos(y) is needed",
                           at, formula.substr(at - 1, 12));
    }
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
        throw told(e, formula);
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
