// SPDX-License-Identifier: Apache-2.0
#include "solver/results/hdf5.hpp"

#include "solver/core/error.hpp"
#include "solver/core/keyed_file.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <bit>
#include <fstream>
#include <limits>

using namespace cellgrade;
using test::message_of;

namespace {

const std::vector<double> odd_numbers{0.0, -0.0, 1.0 / 3.0,
                                      std::numeric_limits<double>::quiet_NaN(), 1e308};

void write_all_kinds(const std::filesystem::path& path) {
    h5::Writer file;
    file.group("/g");
    file.column("/g/x_m", odd_numbers, "m");
    const std::vector<std::int32_t> small{1, 2, 3, 4, 5, 6};
    file.dataset("/g/grid", std::span<const std::int32_t>(small), {.dims = {3, 2}});
    file.dataset("/g/none", std::span<const double>(), {.dims = {0, 3}});
    const std::vector<float> floats(300000, 0.5F);
    file.dataset("/g/large", std::span<const float>(floats),
                 {.dims = {100000, 3}, .deflate = true});
    file.table("/t", {{{"name", "", std::vector<std::string>{"short", std::string(50, 'q')}},
                       {"stress_Pa", "Pa", std::vector<double>{1.5, 2.5}},
                       {"steps", "1", std::vector<std::int64_t>{-7, 1LL << 40}},
                       {"met", "1", std::vector<std::uint8_t>{1, 0}}}});
    file.table("/empty", {{{"name", "", std::vector<std::string>{}},
                           {"stress_Pa", "Pa", std::vector<double>{}}}});
    file.text("/", "schema", "cellgrade/sample");
    file.integers("/", "schema_version", {1, 3});
    file.text("/g", "note", "\xC2\xB5 and \"quotes\"\nsecond line");
    file.texts("/g", "several", {"one", "", "three"});
    file.number("/g", "third", 1.0 / 3.0);
    file.publish(path);
}

} // namespace

TEST_CASE("HDF5 file: every kind of content comes back") {
    const test::ScratchFolder folder;
    write_all_kinds(folder / "a.h5");
    const h5::Reader file(folder / "a.h5");
    const std::vector<double> x = file.doubles("/g/x_m");
    REQUIRE(x.size() == odd_numbers.size());
    for (std::size_t i = 0; i < x.size(); ++i)
        CHECK(std::bit_cast<std::uint64_t>(x[i]) == std::bit_cast<std::uint64_t>(odd_numbers[i]));
    CHECK(file.text("/g/x_m", "units") == "m");
    CHECK(file.dims("/g/grid") == std::vector<std::uint64_t>{3, 2});
    CHECK(file.integers("/g/grid") == std::vector<std::int64_t>{1, 2, 3, 4, 5, 6});
    CHECK(file.doubles("/g/none").empty());
    CHECK(file.doubles("/g/large")[299999] == 0.5);
    CHECK(file.text("/g", "note") == "\xC2\xB5 and \"quotes\"\nsecond line");
    CHECK(file.texts("/g", "several") == std::vector<std::string>{"one", "", "three"});
    CHECK(file.number("/g", "third") == 1.0 / 3.0);
    CHECK(file.names("/g") == std::vector<std::string>{"grid", "large", "none", "x_m"});
    CHECK(file.attributes("/g") == std::vector<std::string>{"note", "several", "third"});
    CHECK(file.has("/g/x_m"));
    CHECK_FALSE(file.has("/g/y/z"));
}

TEST_CASE("HDF5 file: tables keep column order, text longer than 32, and have no rows if none") {
    const test::ScratchFolder folder;
    write_all_kinds(folder / "a.h5");
    const h5::Reader file(folder / "a.h5");
    const h5::Table t = file.table("/t");
    CHECK(t.rows() == 2);
    CHECK(t.columns[1].name == "stress_Pa");
    CHECK(t.columns[1].units == "Pa");
    CHECK(t.texts("name") == std::vector<std::string>{"short", std::string(50, 'q')});
    CHECK(t.numbers("stress_Pa")[1] == 2.5);
    CHECK(t.integers("steps")[1] == 1LL << 40);
    CHECK(t.flags("met")[0] == 1);
    CHECK(file.table("/empty").rows() == 0);
    CHECK(message_of([&] { (void)t.numbers("name"); }).find("another type") != std::string::npos);
    CHECK(message_of([&] { (void)t.numbers("x"); }).find("missing") != std::string::npos);
}

TEST_CASE("HDF5 file: the same content gives the same bytes") {
    const test::ScratchFolder folder;
    write_all_kinds(folder / "a.h5");
    write_all_kinds(folder / "b.h5");
    CHECK(read_text_file(folder / "a.h5") == read_text_file(folder / "b.h5"));
}

TEST_CASE("HDF5 file: a flipped byte or a cut end is refused before the library opens it") {
    const test::ScratchFolder folder;
    write_all_kinds(folder / "a.h5");
    const std::string whole = read_text_file(folder / "a.h5");
    for (std::size_t at = 0; at < whole.size(); at += 997) {
        std::string flipped = whole;
        flipped[at] = static_cast<char>(flipped[at] ^ 0x10);
        std::ofstream(folder / "b.h5", std::ios::binary) << flipped;
        CHECK(message_of([&] { const h5::Reader file(folder / "b.h5"); }).find("checksum") !=
              std::string::npos);
        std::ofstream(folder / "b.h5", std::ios::binary) << whole.substr(0, at);
        CHECK(message_of([&] { const h5::Reader file(folder / "b.h5"); }).find("truncated") !=
              std::string::npos);
    }
}

TEST_CASE("HDF5 file: wrong schema, wrong version and missing names are named") {
    const test::ScratchFolder folder;
    write_all_kinds(folder / "a.h5");
    const h5::Reader file(folder / "a.h5");
    CHECK(file.check_schema("cellgrade/sample", 1).second == 3);
    CHECK(message_of([&] {
              (void)file.check_schema("cellgrade/other", 1);
          }).find("schema cellgrade/sample; cellgrade/other is needed") != std::string::npos);
    CHECK(message_of([&] {
              (void)file.check_schema("cellgrade/sample", 2);
          }).find("version 1.3 of cellgrade/sample in the file, this program reads 2.x") !=
          std::string::npos);
    const std::string message = message_of([&] { (void)file.doubles("/g/missing"); });
    CHECK(message.find("a.h5: /g/missing: HDF5 library: ") != std::string::npos);
    CHECK(message.find('\n') == std::string::npos);
    CHECK(message_of([&] { (void)file.text("/g", "absent"); }).find("no attribute 'absent'") !=
          std::string::npos);
    CHECK(message_of([&] { (void)file.table("/g/x_m"); }).find("not a table") != std::string::npos);
}
