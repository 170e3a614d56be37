// SPDX-License-Identifier: Apache-2.0
#include "solver/report/svg.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;

TEST_CASE("SVG: text cannot break out of its element") {
    CHECK(xml_escaped("a<b>&\"c\"\n\x01") == "a&lt;b&gt;&amp;&quot;c&quot; ");
    Svg svg(100, 50, "</title><script>");
    svg.text({1, 2}, "<b>&", {});
    const std::string text = svg.finish();
    CHECK(text.find("<script>") == std::string::npos);
    CHECK(text.find(">&lt;b&gt;&amp;</text>") != std::string::npos);
}

TEST_CASE("SVG: lines of text break at blanks and hold every word") {
    const auto lines = wrapped("one two three four", 60.0, 10.0); // 11 letters of 5.4 px
    CHECK(lines == std::vector<std::string>{"one two", "three four"});
    CHECK(wrapped("unbreakable", 10.0, 10.0) == std::vector<std::string>{"unbreakable"});
    CHECK(text_width("\xC3\xA9", 10.0) == text_width("e", 10.0));
}
