// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/case_cache.hpp"

#include "solver/core/blob_file.hpp"
#include "solver/core/error.hpp"

#include <array>
#include <cstdint>
#include <span>
#include <system_error>
#include <type_traits>
#include <utility>
#include <vector>

namespace cellgrade {

namespace {

constexpr const char* schema = "grade-case/4";

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

constexpr std::array shear_order{
    &ShearTraits::shear_modulus_Pa,      &ShearTraits::shear_stress_at_quarter_Pa,
    &ShearTraits::shear_strength_Pa,     &ShearTraits::shear_strain_at_strength,
    &ShearTraits::shear_energy_J_per_m3, &ShearTraits::normal_stress_before_Pa,
    &ShearTraits::normal_stress_after_Pa};
static_assert(sizeof(ShearTraits) == shear_order.size() * sizeof(double));

// An uncertainty is saved as its doubles, one after the other.
static_assert(std::is_trivially_copyable_v<TraitUncertainty>);
constexpr std::size_t doubles_a_trait = sizeof(TraitUncertainty) / sizeof(double);

template <class Traits, std::size_t n>
std::vector<double> listed(const Traits& traits, const std::array<double Traits::*, n>& order) {
    std::vector<double> values;
    for (const auto member : order)
        values.push_back(traits.*member);
    return values;
}

template <class Traits, std::size_t n>
void read_listed(const Blob& blob,
                 const char* name,
                 const std::array<double Traits::*, n>& order,
                 Traits& traits) {
    const std::vector<double> values = blob.doubles(name);
    CELLGRADE_CHECK(values.size() == n, "{} {}, {} expected", values.size(), name, n);
    for (std::size_t i = 0; i < n; ++i)
        traits.*order[i] = values[i];
}

std::vector<TraitUncertainty> uncertainty_from(const Blob& blob) {
    const std::size_t n = blob.doubles("uncertainty").size();
    CELLGRADE_CHECK(n % doubles_a_trait == 0, "{} numbers of uncertainty, not a multiple of {}", n,
                    doubles_a_trait);
    std::vector<TraitUncertainty> uncertainty(n / doubles_a_trait);
    blob.read_flat("uncertainty", std::span<TraitUncertainty>(uncertainty));
    return uncertainty;
}

GradeRow row_from(const Blob& blob, const GradeCase& grade) {
    GradeRow row;
    row.grade = grade;
    row.status = blob.text("status");
    row.reason = blob.text("reason");
    row.warning = blob.text("warning");
    row.outside_card = blob.text("outside_card");
    read_listed(blob, "traits", trait_order, row.traits);
    read_listed(blob, "shear_traits", shear_order, row.shear);
    row.curve.nominal_strain = blob.doubles("nominal_strain");
    row.curve.nominal_stress_Pa = blob.doubles("nominal_stress_Pa");
    row.curve.turn = blob.int32s("turn").at(0);
    row.curve.shear_strain = blob.doubles("shear_strain");
    row.curve.shear_stress_Pa = blob.doubles("shear_stress_Pa");
    row.density_kg_per_m3 = blob.doubles("density_kg_per_m3").at(0);
    row.polymer_modulus_Pa = blob.doubles("polymer_modulus_Pa").at(0);
    row.uncertainty = uncertainty_from(blob);
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
    const std::vector<double> traits = listed(row.traits, trait_order);
    const std::vector<double> shear = listed(row.shear, shear_order);
    std::vector<double> values, limits;
    std::vector<std::int32_t> flags;
    std::string names;
    for (const GuardResult& guard : row.guards) {
        names += guard.name + "\n";
        values.push_back(guard.value);
        limits.push_back(guard.limit);
        flags.push_back((guard.met ? 1 : 0) + (guard.enforced ? 2 : 0));
    }
    const std::vector<std::int32_t> turn{row.curve.turn};
    const std::vector<double> density{row.density_kg_per_m3}, modulus{row.polymer_modulus_Pa};
    const std::vector<BlobArray> arrays{
        {"status", std::string_view(row.status)},
        {"reason", std::string_view(row.reason)},
        {"warning", std::string_view(row.warning)},
        {"outside_card", std::string_view(row.outside_card)},
        {"traits", std::span<const double>(traits)},
        {"nominal_strain", std::span<const double>(row.curve.nominal_strain)},
        {"nominal_stress_Pa", std::span<const double>(row.curve.nominal_stress_Pa)},
        {"turn", std::span<const std::int32_t>(turn)},
        {"shear_traits", std::span<const double>(shear)},
        {"shear_strain", std::span<const double>(row.curve.shear_strain)},
        {"shear_stress_Pa", std::span<const double>(row.curve.shear_stress_Pa)},
        {"density_kg_per_m3", std::span<const double>(density)},
        {"polymer_modulus_Pa", std::span<const double>(modulus)},
        {"uncertainty", flat_doubles(std::span<const TraitUncertainty>(row.uncertainty))},
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
