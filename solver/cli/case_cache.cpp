// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/case_cache.hpp"

#include "solver/core/blob_file.hpp"
#include "solver/core/error.hpp"

#include <array>
#include <cstdint>
#include <system_error>
#include <utility>
#include <vector>

namespace cellgrade {

namespace {

constexpr const char* schema = "grade-case/2";

/// The traits as one array; the order is part of `schema`.
constexpr std::array trait_order{&CrushTraits::quasi_elastic_gradient_Pa,
                                 &CrushTraits::collapse_stress_Pa,
                                 &CrushTraits::collapse_strain,
                                 &CrushTraits::plateau_stress_Pa,
                                 &CrushTraits::plateau_end_strain,
                                 &CrushTraits::densification_strain,
                                 &CrushTraits::densification_stress_Pa,
                                 &CrushTraits::energy_to_50_J_per_m3,
                                 &CrushTraits::energy_J_per_m3,
                                 &CrushTraits::sea_J_per_kg,
                                 &CrushTraits::efficiency,
                                 &CrushTraits::ideality,
                                 &CrushTraits::dissipated_fraction,
                                 &CrushTraits::residual_strain};
// A trait added to CrushTraits and not to this list would be lost without a word.
static_assert(sizeof(CrushTraits) == trait_order.size() * sizeof(double));

GradeRow row_from(const Blob& blob, const GradeCase& grade) {
    GradeRow row;
    row.grade = grade;
    row.status = blob.text("status");
    row.reason = blob.text("reason");
    row.warning = blob.text("warning");
    const std::vector<double> traits = blob.doubles("traits");
    CELLGRADE_CHECK(traits.size() == trait_order.size(), "{} traits, {} expected", traits.size(),
                    trait_order.size());
    for (std::size_t i = 0; i < traits.size(); ++i)
        row.traits.*trait_order[i] = traits[i];
    row.curve.nominal_strain = blob.doubles("nominal_strain");
    row.curve.nominal_stress_Pa = blob.doubles("nominal_stress_Pa");
    row.curve.turn = blob.int32s("turn").at(0);
    row.density_kg_per_m3 = blob.doubles("density_kg_per_m3").at(0);
    const std::vector<double> values = blob.doubles("guard_values");
    const std::vector<double> limits = blob.doubles("guard_limits");
    const std::vector<std::int32_t> flags = blob.int32s("guard_flags");
    const std::string names = blob.text("guard_names");
    std::size_t at = 0;
    for (std::size_t i = 0; i < values.size(); ++i) {
        const std::size_t end = names.find('\n', at);
        row.guards.push_back({.name = names.substr(at, end - at),
                              .value = values[i],
                              .limit = limits.at(i),
                              .met = (flags.at(i) & 1) != 0,
                              .enforced = (flags.at(i) & 2) != 0});
        at = end + 1;
    }
    return row;
}

} // namespace

CaseCache::CaseCache(std::filesystem::path folder) : folder_(std::move(folder)) {
    std::error_code failed;
    std::filesystem::create_directories(folder_, failed);
    if (failed)
        throw Error(Fault::Input, "cannot be made: " + failed.message(),
                    {.file = folder_.string(), .key = {}});
}

std::filesystem::path CaseCache::file_of(const GradeCase& grade) const {
    return folder_ / (grade.key + ".case");
}

void CaseCache::save(const GradeRow& row) const {
    std::vector<double> traits, values, limits;
    for (const auto member : trait_order)
        traits.push_back(row.traits.*member);
    std::vector<std::int32_t> flags;
    std::string names;
    for (const GuardResult& guard : row.guards) {
        names += guard.name + "\n";
        values.push_back(guard.value);
        limits.push_back(guard.limit);
        flags.push_back((guard.met ? 1 : 0) + (guard.enforced ? 2 : 0));
    }
    const std::vector<std::int32_t> turn{row.curve.turn};
    const std::vector<double> density{row.density_kg_per_m3};
    const std::vector<BlobArray> arrays{
        {"status", std::string_view(row.status)},
        {"reason", std::string_view(row.reason)},
        {"warning", std::string_view(row.warning)},
        {"traits", std::span<const double>(traits)},
        {"nominal_strain", std::span<const double>(row.curve.nominal_strain)},
        {"nominal_stress_Pa", std::span<const double>(row.curve.nominal_stress_Pa)},
        {"turn", std::span<const std::int32_t>(turn)},
        {"density_kg_per_m3", std::span<const double>(density)},
        {"guard_names", std::string_view(names)},
        {"guard_values", std::span<const double>(values)},
        {"guard_limits", std::span<const double>(limits)},
        {"guard_flags", std::span<const std::int32_t>(flags)}};
    save_blob(file_of(row.grade), schema, arrays);
}

std::optional<GradeRow> CaseCache::load(const GradeCase& grade, std::string& note) const {
    const std::filesystem::path file = file_of(grade);
    if (!has_blob(file))
        return std::nullopt;
    try {
        return row_from(load_blob(file, schema), grade);
    } catch (const Error& e) {
        note = fmt::format("{}; the case is computed again", e.what());
    } catch (const std::out_of_range&) {
        note = fmt::format("{}: incomplete; the case is computed again", file.string());
    }
    return std::nullopt;
}

} // namespace cellgrade
