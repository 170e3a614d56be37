// SPDX-License-Identifier: Apache-2.0
#include "solver/report/report_page.hpp"

#include "solver/core/error.hpp"
#include "solver/report/base64.hpp"
#include "solver/report/html.hpp"
#include "solver/report/page_resources.hpp"
#include "solver/report/page_sections.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace cellgrade {

namespace {

constexpr std::size_t most_shape_bytes = 2'000'000; // of all scenes, so that pages stay below 5 MB

// Nothing is fetched: a browser that follows this refuses every address but the page itself.
constexpr const char* policy = "default-src 'none'; script-src 'unsafe-inline'; style-src "
                               "'unsafe-inline'; img-src data: blob:";

struct Part {
    const char* id;
    const char* name;
    std::string section;
};

std::string links(const std::vector<Part>& parts) {
    std::string out = "<nav aria-label=\"Parts of this page\"><ul>\n";
    for (const Part& part : parts)
        if (!part.section.empty())
            out += fmt::format("<li><a href=\"#{}\">{}</a></li>\n", part.id, part.name);
    return out + "</ul></nav>\n";
}

std::string packed(std::string_view bytes) {
    return base64(gzipped(bytes));
}

std::string data_scripts(const ReportContent& content, const PageData& data) {
    std::string out = "<script type=\"application/octet-stream\" id=\"cellgrade-data\">" +
                      packed(page_json(content, data)) + "</script>\n";
    for (std::size_t k = 0; k < data.scenes.size(); ++k)
        out += fmt::format("<script type=\"application/octet-stream\" id=\"cellgrade-scene-{}\">{}"
                           "</script>\n",
                           k, packed(shape_bytes(data.scenes[k])));
    return out;
}

std::string scripts(const PageData& data) {
    std::string out;
    if (!data.scenes.empty())
        out += fmt::format("<script>{}</script>\n", page_resources::scene());
    return out + fmt::format("<script>{}</script>\n", page_resources::drawing());
}

std::string footer() {
    std::string out = "<footer>\n";
    if (!report_has_scripts())
        out += html::paragraph("This page was made by a build without the scripts of the report: "
                               "tables and pictures are all here, the explorer, the turning shapes "
                               "and values on hover are not.");
    else
        out += html::folded("Licences of the libraries inside this page",
                            "<pre>" + html::text(page_resources::notices()) + "</pre>\n",
                            html::OnPaper::LeftOut);
    return out + html::paragraph("One file: it needs no network and sends nothing.") +
           "</footer>\n";
}

} // namespace

bool report_has_scripts() {
    return !page_resources::drawing().empty();
}

std::string report_page(const ReportContent& content) {
    CELLGRADE_CHECK(!content.tables.empty() || !content.crushes.empty() || !content.drops.empty() ||
                        !content.shapes.empty(),
                    "a report needs a result");
    PageData data;
    for (const ReportedShapes& shapes : content.shapes)
        data.scenes.push_back(
            packed_shapes(shapes.shapes, most_shape_bytes / content.shapes.size()));
    const std::vector<Part> parts{{"cautions", "Before you use this", cautions_section(content)},
                                  {"summary", "Summary", summary_section(content)},
                                  {"trust", "Trust", trust_section(content)},
                                  {"zones", "Choice by zone", zones_section(content)},
                                  {"explorer", "Try a blow", explorer_section(content)},
                                  {"curves", "Curves", curves_section(content)},
                                  {"grades", "Grades", grades_section(content)},
                                  {"crushes", "Crushes", crushes_section(content, data)},
                                  {"drops", "Drops", drops_section(content, data)},
                                  {"shapes", "Shapes", other_shapes_section(content, data)},
                                  {"provenance", "Origin", provenance_section(content)}};
    std::string page = fmt::format(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"{}\">\n<title>{}</title>\n"
        "<style>\n{}</style>\n</head>\n<body>\n<header><p class=\"kind\">cellgrade report</p>\n"
        "<h1>{}</h1></header>\n",
        policy, html::text(content.title), page_resources::style(), html::text(content.title));
    page += links(parts) + "<main>\n";
    for (const Part& part : parts)
        page += part.section;
    page += "</main>\n" + footer();
    if (report_has_scripts())
        page += data_scripts(content, data) + scripts(data);
    return page + "</body>\n</html>\n";
}

} // namespace cellgrade
