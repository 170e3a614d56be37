// SPDX-License-Identifier: Apache-2.0
#include "solver/report/page_resources.hpp"

// Written by page_resources.S.in, each with its end.
extern "C" {
extern const char cellgrade_page_style[], cellgrade_page_style_end[];
extern const char cellgrade_page_drawing[], cellgrade_page_drawing_end[];
extern const char cellgrade_page_scene[], cellgrade_page_scene_end[];
extern const char cellgrade_page_notices[], cellgrade_page_notices_end[];
}

namespace cellgrade::page_resources {

namespace {

std::string_view between(const char* begin, const char* end) {
    return {begin, static_cast<std::size_t>(end - begin)};
}

} // namespace

std::string_view style() {
    return between(cellgrade_page_style, cellgrade_page_style_end);
}
std::string_view drawing() {
    return between(cellgrade_page_drawing, cellgrade_page_drawing_end);
}
std::string_view scene() {
    return between(cellgrade_page_scene, cellgrade_page_scene_end);
}
std::string_view notices() {
    return between(cellgrade_page_notices, cellgrade_page_notices_end);
}

} // namespace cellgrade::page_resources
