// SPDX-License-Identifier: Apache-2.0
#include "solver/report/html.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace cellgrade;

TEST_CASE("HTML: text cannot break out of its element, and line ends stay") {
    CHECK(html::text("a<b>&\"c\"\n\x01") == "a&lt;b&gt;&amp;&quot;c&quot;\n");
    CHECK(html::folded("</summary>", "").find("&lt;/summary&gt;") != std::string::npos);
    CHECK(html::section("s", "<script>", "").find("<script>") == std::string::npos);
}

TEST_CASE("HTML: an unknown number never reads as one") {
    CHECK(html::number(std::nan("")).find("not known") != std::string::npos);
    CHECK(html::number(12.3456, 3) == "12.3");
    CHECK(html::number(20651.2, 3) == "20651");
}

TEST_CASE("HTML: a short row is filled by its note") {
    const std::string table =
        html::table("t", {{"a", true, ""}, {"b [m]", true, ""}, {"c", true, ""}},
                    {{.cells = {"1"}, .values = {1.0}, .class_name = "no-result", .note = "why"}});
    CHECK(table.find("<td colspan=\"2\">why</td>") != std::string::npos);
    CHECK(table.find("data-value=\"1\"") != std::string::npos);
    CHECK(table.find("<small>[m]</small>") != std::string::npos);
}

TEST_CASE("HTML: a mark tells by a sign and a word") {
    CHECK(html::mark("bad", "missed").find("\u2717") != std::string::npos);
    CHECK(html::mark("bad", "missed").find("missed") != std::string::npos);
}
