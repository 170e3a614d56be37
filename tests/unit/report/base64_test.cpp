// SPDX-License-Identifier: Apache-2.0
#include "solver/report/base64.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;

TEST_CASE("base64: the published examples") { // RFC 4648, section 10
    CHECK(base64("") == "");
    CHECK(base64("f") == "Zg==");
    CHECK(base64("fo") == "Zm8=");
    CHECK(base64("foo") == "Zm9v");
    CHECK(base64("foob") == "Zm9vYg==");
    CHECK(base64("fooba") == "Zm9vYmE=");
    CHECK(base64("foobar") == "Zm9vYmFy");
    CHECK(base64(std::string_view("\xff\xfe\x00", 3)) == "//4A");
}

TEST_CASE("gzip: begins as RFC 1952 says, without time, and is small where there is nothing new") {
    const std::string packed = gzipped(std::string(100000, 'a'));
    CHECK(packed.substr(0, 3) == "\x1f\x8b\x08");
    CHECK(packed.substr(3, 5) == std::string(5, '\0')); // no name, time 0
    CHECK(packed.size() < 300);
    // the last four bytes are the length of what was packed: 100000 = 0x000186a0
    CHECK(packed.substr(packed.size() - 4) == std::string("\xa0\x86\x01\x00", 4));
}
