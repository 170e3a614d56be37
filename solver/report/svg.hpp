// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace cellgrade {

/// A point of a picture [px], y downwards.
struct Pixel {
    double x = 0.0, y = 0.0;
};

/// Where text hangs on its point.
enum class Anchor { Start, Middle, End };

/// How text looks; sizes in px.
struct TextStyle {
    double size = 12.0;
    Anchor anchor = Anchor::Start;
    std::string colour = "#222222";
    bool bold = false;
    bool upward = false; ///< turned by a quarter, for the name of a vertical axis
    bool halo = false;   ///< white rim, readable across lines
};

/// How a line looks; sizes in px.
struct Stroke {
    std::string colour = "#222222";
    double width = 1.0;
    std::string dashes; ///< SVG dash list; empty: solid
    double opacity = 1.0;
};

/// Writes an SVG 1.1 picture as text. Coordinates have one decimal, so the same input gives the
/// same bytes.
class Svg {
public:
    /// @param title also read out by screen readers
    Svg(double width, double height, std::string_view title);

    void rect(Pixel corner, Pixel size, std::string_view fill, const Stroke& edge);
    void line(Pixel from, Pixel to, const Stroke& stroke);
    void polyline(const std::vector<Pixel>& points, const Stroke& stroke);
    void circle(Pixel centre, double radius, std::string_view fill, const Stroke& edge);
    void polygon(const std::vector<Pixel>& points, std::string_view fill, const Stroke& edge);
    void text(Pixel at, std::string_view words, const TextStyle& style);
    /// Everything until `end_clip` is cut to the rectangle.
    void begin_clip(Pixel corner, Pixel size);
    void end_clip();
    /// The whole picture; nothing may be added afterwards.
    [[nodiscard]] std::string finish();

private:
    std::string body_;
    int clips_ = 0;
};

/// `&`, `<`, `>` and quotes as XML wants them; control characters are left out.
[[nodiscard]] std::string xml_escaped(std::string_view text);

/// Rough width of text in a sans-serif face [px]: 0.54 of its size a character.
[[nodiscard]] double text_width(std::string_view text, double size);

/// Words broken into lines no wider than `width` px.
[[nodiscard]] std::vector<std::string> wrapped(std::string_view text, double width, double size);

} // namespace cellgrade
