// SPDX-License-Identifier: Apache-2.0
#include "solver/report/svg.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace cellgrade {

namespace {

std::string stroke_attributes(const Stroke& stroke) {
    std::string text =
        fmt::format("stroke=\"{}\" stroke-width=\"{:.4g}\"", stroke.colour, stroke.width);
    if (!stroke.dashes.empty())
        text += fmt::format(" stroke-dasharray=\"{}\"", stroke.dashes);
    if (stroke.opacity < 1.0)
        text += fmt::format(" stroke-opacity=\"{:.4g}\"", stroke.opacity);
    return text;
}

std::string point_list(const std::vector<Pixel>& points) {
    std::string text;
    for (const Pixel& p : points)
        text += fmt::format("{}{:.1f},{:.1f}", text.empty() ? "" : " ", p.x, p.y);
    return text;
}

const char* anchor_name(Anchor anchor) {
    if (anchor == Anchor::Start)
        return "start";
    return anchor == Anchor::Middle ? "middle" : "end";
}

/// Bytes that start a character in UTF-8; the others continue one.
bool starts_character(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
}

} // namespace

std::string xml_escaped(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == '&')
            out.append("&amp;");
        else if (c == '<')
            out.append("&lt;");
        else if (c == '>')
            out.append("&gt;");
        else if (c == '"')
            out.append("&quot;");
        else if (c == '\n' || c == '\t')
            out.push_back(' ');
        else if (static_cast<unsigned char>(c) >= 0x20)
            out.push_back(c);
    }
    return out;
}

double text_width(std::string_view text, double size) {
    return 0.54 * size *
           static_cast<double>(std::count_if(text.begin(), text.end(), starts_character));
}

std::vector<std::string> wrapped(std::string_view text, double width, double size) {
    std::vector<std::string> lines(1);
    while (!text.empty()) {
        const std::size_t end = std::min(text.find(' '), text.size());
        const std::string word(text.substr(0, end));
        text.remove_prefix(std::min(end + 1, text.size()));
        std::string longer = lines.back();
        longer.append(longer.empty() ? "" : " ").append(word);
        if (!lines.back().empty() && text_width(longer, size) > width)
            lines.push_back(word);
        else
            lines.back() = longer;
    }
    return lines;
}

Svg::Svg(double width, double height, std::string_view title) {
    body_ = fmt::format("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.0f}\" "
                        "height=\"{1:.0f}\" viewBox=\"0 0 {0:.0f} {1:.0f}\" role=\"img\" "
                        "font-family=\"Helvetica, Arial, 'Liberation Sans', sans-serif\" "
                        "stroke-linejoin=\"round\">\n"
                        "<title>{2}</title>\n"
                        "<rect width=\"{0:.0f}\" height=\"{1:.0f}\" fill=\"#ffffff\"/>\n",
                        width, height, xml_escaped(title));
}

void Svg::rect(Pixel corner, Pixel size, std::string_view fill, const Stroke& edge) {
    body_ += fmt::format(
        "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"{}\" {}/>\n",
        corner.x, corner.y, size.x, size.y, fill, stroke_attributes(edge));
}

void Svg::line(Pixel from, Pixel to, const Stroke& stroke) {
    body_ += fmt::format("<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" {}/>\n",
                         from.x, from.y, to.x, to.y, stroke_attributes(stroke));
}

void Svg::polyline(const std::vector<Pixel>& points, const Stroke& stroke) {
    if (points.size() < 2)
        return;
    body_ += fmt::format("<polyline points=\"{}\" fill=\"none\" {}/>\n", point_list(points),
                         stroke_attributes(stroke));
}

void Svg::circle(Pixel centre, double radius, std::string_view fill, const Stroke& edge) {
    body_ += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"{:.4g}\" fill=\"{}\" {}/>\n",
                         centre.x, centre.y, radius, fill, stroke_attributes(edge));
}

void Svg::polygon(const std::vector<Pixel>& points, std::string_view fill, const Stroke& edge) {
    body_ += fmt::format("<polygon points=\"{}\" fill=\"{}\" {}/>\n", point_list(points), fill,
                         stroke_attributes(edge));
}

void Svg::text(Pixel at, std::string_view words, const TextStyle& style) {
    std::string more;
    if (style.bold)
        more += " font-weight=\"bold\"";
    if (style.upward)
        more += fmt::format(" transform=\"rotate(-90 {:.1f} {:.1f})\"", at.x, at.y);
    if (style.halo)
        more += " stroke=\"#ffffff\" stroke-width=\"3\" paint-order=\"stroke\"";
    body_ += fmt::format(
        "<text x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"{:.4g}\" text-anchor=\"{}\" fill=\"{}\"{}>{}"
        "</text>\n",
        at.x, at.y, style.size, anchor_name(style.anchor), style.colour, more, xml_escaped(words));
}

void Svg::begin_clip(Pixel corner, Pixel size) {
    ++clips_;
    body_ += fmt::format("<clipPath id=\"clip{0}\"><rect x=\"{1:.1f}\" y=\"{2:.1f}\" "
                         "width=\"{3:.1f}\" height=\"{4:.1f}\"/></clipPath>\n"
                         "<g clip-path=\"url(#clip{0})\">\n",
                         clips_, corner.x, corner.y, size.x, size.y);
}

void Svg::end_clip() {
    body_ += "</g>\n";
}

std::string Svg::finish() {
    return std::move(body_) + "</svg>\n";
}

} // namespace cellgrade
