// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/print/print_label.hpp"
#include "meshes/print/print_surface.hpp"

#include <filesystem>

namespace cellgrade {

/// Writes a surface as binary STL: 80 bytes of header, a count, 50 bytes a triangle (normal, three
/// corners as float32, two zero bytes), little-endian. The format knows no unit; the header says
/// mm. It begins with "binary" because readers take "solid" for the text form.
///
/// The file appears whole or not at all (publish_file); the same input gives the same bytes.
/// Source: common practice; there is no standard.
void write_stl(const std::filesystem::path& path,
               const PrintSurface& surface,
               const PrintLabel& label);

} // namespace cellgrade
