// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

/// The pieces that the report page is put together from. Arguments named `inner` and `cells` are
/// HTML already; all else is plain text and is escaped here.
namespace cellgrade::html {

/// Text with `&`, `<`, `>` and quotes as HTML wants them; line ends stay.
[[nodiscard]] std::string text(std::string_view plain);

/// "-" with a readable hint where a value is not known (NaN), else `digits` significant ones.
[[nodiscard]] std::string number(double value, int digits = 4);

/// A paragraph.
[[nodiscard]] std::string paragraph(std::string_view plain);
[[nodiscard]] std::string paragraph_of(const std::string& inner,
                                       const std::string& class_name = "");

/// Points of a list, each HTML.
[[nodiscard]] std::string list(const std::vector<std::string>& items);

/// A section of the page with its heading; `id` is what links point at.
[[nodiscard]] std::string
section(const std::string& id, std::string_view heading, const std::string& inner);

/// What print does with a folded part.
enum class OnPaper { Open, LeftOut };

/// Folded away on the screen.
[[nodiscard]] std::string
folded(std::string_view summary, const std::string& inner, OnPaper paper = OnPaper::Open);

struct Column {
    std::string head;        ///< plain text; a unit in brackets goes on a line of its own
    bool is_number = true;   ///< set right; sorted by value
    std::string explanation; ///< shown on hover, may be empty
};

/// One row; `note` fills the columns after the cells when there are fewer cells than columns.
struct Row {
    std::vector<std::string> cells;
    std::vector<double> values; ///< to sort by, one a cell; may be empty
    std::string class_name;
    std::string note;
};

/// A table that scrolls sideways on a narrow screen. @param sortable by its heads, in the page
[[nodiscard]] std::string table(std::string_view caption,
                                const std::vector<Column>& columns,
                                const std::vector<Row>& rows,
                                bool sortable = false);

/// A drawing as an image that needs nothing beside it.
[[nodiscard]] std::string picture(const std::string& svg, std::string_view alternative);

/// A mark that tells by shape and word, not by colour alone: kind is good, doubt or bad.
[[nodiscard]] std::string mark(const std::string& kind, std::string_view words);

} // namespace cellgrade::html
