// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/candidate.hpp"
#include "materials/calibration/coupon_cleaning.hpp"
#include "materials/calibration/coupon_csv.hpp"
#include "materials/calibration/elastic_fit.hpp"
#include "materials/calibration/print_study.hpp"
#include "materials/calibration/relaxation_spectrum.hpp"

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// One coupon file of a study.
struct CouponTest {
    std::filesystem::path file;
    CouponRequest request;
    ToeRule toe = ToeRule::Remove;
};

/// One relaxation or frequency file of a study.
struct TimeTest {
    std::filesystem::path file;
    TimeCurveRequest request;
};

/// What is to be fitted to what: the file is described in materials/README.md.
struct CalibrationStudy {
    std::string name, about, source;
    double density_kg_per_m3 = 0.0; ///< 0: from weighed coupons
    FixedValues fixed;
    std::optional<double> shore_A;
    std::optional<double> friction_on_itself, friction_on_platen;
    std::map<std::string, std::string, std::less<>> sources; ///< of each given value
    std::vector<LawCandidate> candidates;
    bool every_candidate = false; ///< also terms that the ones before gave no reason for
    CurveWeighting weighting = CurveWeighting::PerCurve;
    int starts = 12;
    int most_prony_terms = 8;
    std::optional<SpectrumKind> spectrum; ///< of histories; unset: spectrum_of() their rates
    std::optional<bool> damage;           ///< with it, without; unset: both where one loads again
    std::optional<double> largest_strain; ///< nominal; coupons beyond are not fitted
    double reference_temperature_C = 23.0;
    std::vector<CouponTest> coupons;
    std::vector<TimeTest> time_tests;
    PrintStudy print;
};

/// Reads a study file; paths in it are relative to the file. Errors: file, line, column, key.
[[nodiscard]] CalibrationStudy read_calibration_study(const std::filesystem::path& path);

/// Whether a test of the study is a whole time history.
[[nodiscard]] bool has_history(const CalibrationStudy& study);

} // namespace cellgrade
