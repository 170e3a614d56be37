// SPDX-License-Identifier: Apache-2.0
#include "solver/core/blob_file.hpp"

#include "solver/core/error.hpp"
#include "solver/core/keyed_file.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <bit>
#include <cmath>
#include <fstream>
#include <limits>

using namespace cellgrade;
namespace fs = std::filesystem;
using test::message_of;

namespace {

struct Pose {
    double x, y;
};

void save_one(const fs::path& path, double value, const char* schema = "state/1") {
    const std::vector<double> values{value};
    const std::vector<BlobArray> arrays{{"v", std::span<const double>(values)}};
    save_blob(path, schema, arrays);
}

void flip_byte(const fs::path& path, std::size_t at) {
    std::string content = read_text_file(path);
    content.at(at) = static_cast<char>(content.at(at) ^ 1);
    std::ofstream(path, std::ios::binary) << content;
}

} // namespace

TEST_CASE("blob file: every bit of every kind comes back") {
    const test::ScratchFolder folder;
    const std::vector<double> odd{0.0, -0.0, std::numeric_limits<double>::denorm_min(),
                                  std::bit_cast<double>(0x7ff4dead0000beefULL), 1.0 / 3.0};
    const std::vector<std::int32_t> small{-1, 2, INT32_MAX};
    const std::vector<std::int64_t> large{INT64_MIN, 7};
    const std::vector<Pose> poses{{1.5, 2.5}, {3.5, 4.5}};
    const std::vector<double> none;
    const std::vector<BlobArray> arrays{{"state/x", std::span<const double>(odd)},
                                        {"i4", std::span<const std::int32_t>(small)},
                                        {"i8", std::span<const std::int64_t>(large)},
                                        {"poses", flat_doubles(std::span<const Pose>(poses))},
                                        {"none", std::span<const double>(none)},
                                        {"key", std::string_view("abc def\n")}};
    save_blob(folder / "c", "state/1", arrays);
    const Blob blob = load_blob(folder / "c", "state/1");
    const std::vector<double> x = blob.doubles("state/x");
    REQUIRE(x.size() == odd.size());
    for (std::size_t i = 0; i < x.size(); ++i)
        CHECK(std::bit_cast<std::uint64_t>(x[i]) == std::bit_cast<std::uint64_t>(odd[i]));
    CHECK(blob.int32s("i4") == small);
    CHECK(blob.int64s("i8") == large);
    CHECK(blob.doubles("none").empty());
    CHECK(blob.text("key") == "abc def\n");
    std::vector<Pose> back(2);
    blob.read_flat("poses", std::span(back));
    CHECK(back[1].x == 3.5);
    CHECK(blob.note().empty());
}

TEST_CASE("blob file: reads of the wrong name, kind or length say so") {
    const test::ScratchFolder folder;
    save_one(folder / "c", 1.0);
    const Blob blob = load_blob(folder / "c", "state/1");
    CHECK(message_of([&] { (void)blob.doubles("w"); }).find("no array 'w'") != std::string::npos);
    CHECK(message_of([&] { (void)blob.int32s("v"); }).find("is f8, not i4") != std::string::npos);
    std::vector<double> two(2);
    CHECK(message_of([&] { blob.read_doubles("v", two); }).find("8 bytes, 16") !=
          std::string::npos);
    const std::vector<BlobArray> twice{{"a", std::string_view("1")}, {"a", std::string_view("2")}};
    CHECK(message_of([&] { save_blob(folder / "d", "s", twice); }).find("twice") !=
          std::string::npos);
    const std::vector<BlobArray> blank{{"a b", std::string_view("1")}};
    CHECK_THROWS_AS(save_blob(folder / "d", "s", blank), Error);
}

TEST_CASE("blob file: a damaged or missing newest file falls back to the one before it") {
    const test::ScratchFolder folder;
    const fs::path path = folder / "c";
    CHECK_FALSE(has_blob(path));
    save_one(path, 1.0);
    save_one(path, 2.0);
    CHECK(load_blob(path, "state/1").doubles("v")[0] == 2.0);
    flip_byte(path, 70);
    CHECK(load_blob(path, "state/1").doubles("v")[0] == 1.0);
    CHECK(load_blob(path, "state/1").note().find("checksum") != std::string::npos);
    fs::remove(path);
    CHECK(has_blob(path));
    CHECK(load_blob(path, "state/1").doubles("v")[0] == 1.0);
    flip_byte(folder / "c.previous", 70);
    CHECK_THROWS_AS((void)load_blob(path, "state/1"), Error);
    remove_blob(path);
    CHECK_FALSE(has_blob(path));
}

TEST_CASE("blob file: another schema is refused and not hidden by the older generation") {
    const test::ScratchFolder folder;
    save_one(folder / "c", 1.0, "state/1");
    save_one(folder / "c", 2.0, "state/2");
    CHECK(message_of([&] {
              (void)load_blob(folder / "c", "state/1");
          }).find("(schema state/2); schema state/1 is needed") != std::string::npos);
}
