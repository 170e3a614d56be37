// SPDX-License-Identifier: Apache-2.0
#include "solver/report/html.hpp"

#include "solver/report/base64.hpp"

#include <fmt/format.h>

#include <cmath>

namespace cellgrade::html {

std::string text(std::string_view plain) {
    std::string out;
    for (const char c : plain) {
        if (c == '&')
            out += "&amp;";
        else if (c == '<')
            out += "&lt;";
        else if (c == '>')
            out += "&gt;";
        else if (c == '"')
            out += "&quot;";
        else if (c == '\n' || c == '\t' || static_cast<unsigned char>(c) >= 0x20)
            out.push_back(c);
    }
    return out;
}

std::string number(double value, int digits) {
    if (!std::isfinite(value))
        return "<span class=\"none\" title=\"not known\">-</span>";
    const double size = std::abs(value);
    if (size >= std::pow(10.0, digits) && size < 1e7) // 20650, not 2.065e+04
        return fmt::format("{:.0f}", value);
    return fmt::format("{:.{}g}", value, digits);
}

std::string paragraph(std::string_view plain) {
    return paragraph_of(text(plain));
}

std::string paragraph_of(const std::string& inner, const std::string& class_name) {
    if (inner.empty())
        return "";
    const std::string attribute =
        class_name.empty() ? "" : fmt::format(" class=\"{}\"", class_name);
    return fmt::format("<p{}>{}</p>\n", attribute, inner);
}

std::string list(const std::vector<std::string>& items) {
    if (items.empty())
        return "";
    std::string out = "<ul>\n";
    for (const std::string& item : items)
        out += fmt::format("<li>{}</li>\n", item);
    return out + "</ul>\n";
}

std::string section(const std::string& id, std::string_view heading, const std::string& inner) {
    return fmt::format("<section id=\"{0}\" aria-labelledby=\"{0}-head\">\n"
                       "<h2 id=\"{0}-head\">{1}</h2>\n{2}</section>\n",
                       id, text(heading), inner);
}

std::string folded(std::string_view summary, const std::string& inner, OnPaper paper) {
    return fmt::format("<details{}><summary>{}</summary>\n{}</details>\n",
                       paper == OnPaper::LeftOut ? " class=\"off-paper\"" : "", text(summary),
                       inner);
}

std::string table(std::string_view caption,
                  const std::vector<Column>& columns,
                  const std::vector<Row>& rows,
                  bool sortable) {
    std::string out = fmt::format("<div class=\"wide\" tabindex=\"0\" role=\"region\" "
                                  "aria-label=\"{0}\"><table{1}>\n<caption>{0}</caption>\n"
                                  "<thead><tr>",
                                  text(caption), sortable ? " data-sortable" : "");
    for (const Column& column : columns) {
        const std::size_t bracket = column.head.find(" [");
        std::string head = text(column.head.substr(0, bracket));
        if (bracket != std::string::npos)
            head += fmt::format(" <small>{}</small>", text(column.head.substr(bracket + 1)));
        out += fmt::format(
            "<th scope=\"col\"{}{}>{}</th>", column.is_number ? " class=\"number\"" : "",
            column.explanation.empty() ? ""
                                       : fmt::format(" title=\"{}\"", text(column.explanation)),
            head);
    }
    out += "</tr></thead>\n<tbody>\n";
    for (const Row& row : rows) {
        out += row.class_name.empty() ? "<tr>" : fmt::format("<tr class=\"{}\">", row.class_name);
        for (std::size_t i = 0; i < row.cells.size() && i < columns.size(); ++i) {
            const bool has_value = i < row.values.size() && std::isfinite(row.values[i]);
            out += fmt::format("<td{}{}>{}</td>", columns[i].is_number ? " class=\"number\"" : "",
                               has_value ? fmt::format(" data-value=\"{}\"", row.values[i]) : "",
                               row.cells[i]);
        }
        if (row.cells.size() < columns.size())
            out += fmt::format("<td colspan=\"{}\">{}</td>", columns.size() - row.cells.size(),
                               row.note);
        out += "</tr>\n";
    }
    return out + "</tbody></table></div>\n";
}

std::string picture(const std::string& svg, std::string_view alternative) {
    return fmt::format("<img alt=\"{}\" src=\"data:image/svg+xml;base64,{}\">\n", text(alternative),
                       base64(svg));
}

std::string mark(const std::string& kind, std::string_view words) {
    const char* sign = kind == "good" ? "\u2713" : kind == "bad" ? "\u2717" : "?";
    return fmt::format("<span class=\"mark {}\"><b aria-hidden=\"true\">{}</b> {}</span>", kind,
                       sign, text(words));
}

} // namespace cellgrade::html
