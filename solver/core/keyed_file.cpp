// SPDX-License-Identifier: Apache-2.0
#include "solver/core/keyed_file.hpp"

#include "solver/core/suggest.hpp"

#include <toml++/toml.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <set>

namespace cellgrade {

struct KeyedTable::State {
    std::shared_ptr<const toml::table> root; ///< keeps the tree alive
    const toml::table* table;
    std::string file;
    std::string path; ///< "loading." for keys of [loading]
    std::set<std::string, std::less<>> asked;

    const toml::node* find(std::string_view key) {
        asked.emplace(key);
        return table->get(key);
    }
    Where where(const toml::node* node, std::string_view key) const {
        Where w{.file = file, .key = path + std::string(key)};
        if (node != nullptr) {
            w.line = static_cast<int>(node->source().begin.line);
            w.column = static_cast<int>(node->source().begin.column);
        }
        return w;
    }
    Error error(const toml::node* node, std::string_view key, const std::string& message) const {
        return {Fault::Input, message, where(node, key)};
    }
    const toml::node& need(std::string_view key, const char* what) {
        const toml::node* node = find(key);
        if (node == nullptr) {
            std::vector<std::string> present;
            for (const auto& [name, value] : *table)
                present.emplace_back(name.str());
            const auto near = nearest_names(key, present);
            throw error(nullptr, key,
                        fmt::format("missing; {} is needed{}", what,
                                    near.empty() ? "" : " (found instead: " + near.front() + ")"));
        }
        return *node;
    }
};

namespace {

const char* kind(const toml::node& node) {
    switch (node.type()) {
    case toml::node_type::table:
        return "a table";
    case toml::node_type::array:
        return "a list";
    case toml::node_type::string:
        return "a text";
    case toml::node_type::integer:
        return "an integer";
    case toml::node_type::floating_point:
        return "a number";
    case toml::node_type::boolean:
        return "a true/false";
    default:
        return "a date or time";
    }
}

double to_number(const KeyedTable::State& s, const toml::node& node, std::string_view key) {
    if (!node.is_number())
        throw s.error(&node, key, fmt::format("a number is needed, this is {}", kind(node)));
    const double value = *node.value<double>();
    if (!std::isfinite(value))
        throw s.error(&node, key, "not a finite number");
    return value;
}

Index to_integer(const KeyedTable::State& s, const toml::node& node, std::string_view key) {
    if (!node.is_integer())
        throw s.error(&node, key, fmt::format("an integer is needed, this is {}", kind(node)));
    const std::int64_t value = **node.as_integer();
    if (value < INT32_MIN || value > INT32_MAX)
        throw s.error(&node, key, fmt::format("integer {} is out of range", value));
    return static_cast<Index>(value);
}

const toml::array&
to_array(const KeyedTable::State& s, const toml::node& node, std::string_view key) {
    if (!node.is_array())
        throw s.error(&node, key, fmt::format("a list is needed, this is {}", kind(node)));
    return *node.as_array();
}

std::string to_text(const KeyedTable::State& s, const toml::node& node, std::string_view key) {
    if (!node.is_string())
        throw s.error(&node, key,
                      fmt::format("a text in quotes is needed, this is {}", kind(node)));
    return **node.as_string();
}

template <class T, class Convert>
std::vector<std::vector<T>>
to_rows(KeyedTable::State& s, std::string_view key, std::size_t width, Convert convert) {
    const toml::array& outer = to_array(s, s.need(key, "a list of lists"), key);
    std::vector<std::vector<T>> rows;
    for (std::size_t i = 0; i < outer.size(); ++i) {
        const std::string name = fmt::format("{}[{}]", key, i);
        const toml::array& inner = to_array(s, *outer.get(i), name);
        if (inner.size() != width)
            throw s.error(&inner, name,
                          fmt::format("{} values are needed, {} given", width, inner.size()));
        std::vector<T>& row = rows.emplace_back();
        for (const toml::node& value : inner)
            row.push_back(convert(s, value, name));
    }
    return rows;
}

} // namespace

bool KeyedTable::has(std::string_view key) const {
    return state_->find(key) != nullptr;
}

double KeyedTable::number(std::string_view key) const {
    return to_number(*state_, state_->need(key, "a number"), key);
}

double KeyedTable::number_or(std::string_view key, double fallback) const {
    return has(key) ? number(key) : fallback;
}

double KeyedTable::positive(std::string_view key) const {
    const double value = number(key);
    if (value <= 0.0)
        throw error(key, fmt::format("{} is not allowed; a number above 0 is needed", value));
    return value;
}

double KeyedTable::positive_or(std::string_view key, double fallback) const {
    return has(key) ? positive(key) : fallback;
}

Index KeyedTable::integer(std::string_view key) const {
    return to_integer(*state_, state_->need(key, "an integer"), key);
}

Index KeyedTable::integer_or(std::string_view key, Index fallback) const {
    return has(key) ? integer(key) : fallback;
}

bool KeyedTable::flag_or(std::string_view key, bool fallback) const {
    const toml::node* node = state_->find(key);
    if (node == nullptr)
        return fallback;
    if (!node->is_boolean())
        throw error(key, fmt::format("true or false is needed, this is {}", kind(*node)));
    return **node->as_boolean();
}

std::string KeyedTable::text(std::string_view key) const {
    return to_text(*state_, state_->need(key, "a text"), key);
}

std::string KeyedTable::text_or(std::string_view key, std::string_view fallback) const {
    return has(key) ? text(key) : std::string(fallback);
}

std::string KeyedTable::choice(std::string_view key,
                               const std::vector<std::string>& allowed) const {
    const std::string value = text(key);
    if (std::find(allowed.begin(), allowed.end(), value) == allowed.end())
        throw error(key, fmt::format("'{}' is not known{}", value, did_you_mean(value, allowed)));
    return value;
}

std::string KeyedTable::choice_or(std::string_view key,
                                  const std::vector<std::string>& allowed,
                                  std::string_view fallback) const {
    return has(key) ? choice(key, allowed) : std::string(fallback);
}

std::vector<double> KeyedTable::numbers(std::string_view key) const {
    std::vector<double> values;
    for (const toml::node& node : to_array(*state_, state_->need(key, "a list of numbers"), key))
        values.push_back(to_number(*state_, node, fmt::format("{}[{}]", key, values.size())));
    return values;
}

std::vector<std::string> KeyedTable::texts(std::string_view key) const {
    std::vector<std::string> values;
    for (const toml::node& node : to_array(*state_, state_->need(key, "a list of texts"), key))
        values.push_back(to_text(*state_, node, fmt::format("{}[{}]", key, values.size())));
    return values;
}

std::vector<std::vector<double>> KeyedTable::rows(std::string_view key, std::size_t width) const {
    return to_rows<double>(*state_, key, width, to_number);
}

std::vector<std::vector<Index>> KeyedTable::integer_rows(std::string_view key,
                                                         std::size_t width) const {
    return to_rows<Index>(*state_, key, width, to_integer);
}

KeyedTable KeyedTable::table(std::string_view key) const {
    const toml::node& node = state_->need(key, "a table");
    if (!node.is_table())
        throw error(key, fmt::format("a table [{}] is needed, this is {}", key, kind(node)));
    return KeyedTable(std::make_shared<State>(State{
        state_->root, node.as_table(), state_->file, state_->path + std::string(key) + ".", {}}));
}

std::optional<KeyedTable> KeyedTable::optional_table(std::string_view key) const {
    return has(key) ? std::optional(table(key)) : std::nullopt;
}

std::vector<KeyedTable> KeyedTable::tables(std::string_view key) const {
    std::vector<KeyedTable> found;
    const toml::node* list = state_->find(key);
    if (list == nullptr)
        return found;
    for (const toml::node& node : to_array(*state_, *list, key)) {
        const std::string name = fmt::format("{}[{}]", key, found.size());
        if (!node.is_table())
            throw state_->error(&node, name,
                                fmt::format("a table is needed, this is {}", kind(node)));
        found.emplace_back(std::make_shared<State>(
            State{state_->root, node.as_table(), state_->file, state_->path + name + ".", {}}));
    }
    return found;
}

void KeyedTable::finish() const {
    const toml::key* worst = nullptr;
    for (const auto& [name, value] : *state_->table)
        if (!state_->asked.contains(name.str()) &&
            (worst == nullptr || name.source().begin.line < worst->source().begin.line))
            worst = &name;
    if (worst == nullptr)
        return;
    const std::vector<std::string> known(state_->asked.begin(), state_->asked.end());
    Where w{.file = state_->file, .key = state_->path + std::string(worst->str())};
    w.line = static_cast<int>(worst->source().begin.line);
    w.column = static_cast<int>(worst->source().begin.column);
    throw Error(Fault::Input, "unknown key" + did_you_mean(worst->str(), known), w);
}

std::vector<std::string> KeyedTable::keys() const {
    std::vector<std::string> names;
    for (const auto& [name, value] : *state_->table)
        names.emplace_back(name.str());
    std::sort(names.begin(), names.end());
    return names;
}

Where KeyedTable::where(std::string_view key) const {
    if (key.empty()) {
        Where w = state_->where(state_->table, "");
        if (!w.key.empty())
            w.key.pop_back();
        return w;
    }
    return state_->where(state_->table->get(key), key);
}

Where KeyedTable::where(std::string_view key, std::size_t i) const {
    const toml::node* list = state_->table->get(key);
    const toml::node* item = list != nullptr && list->is_array() ? list->as_array()->get(i) : list;
    return state_->where(item, fmt::format("{}[{}]", key, i));
}

Error KeyedTable::error(std::string_view key, const std::string& message) const {
    return {Fault::Input, message, where(key)};
}

std::string read_text_file(const std::filesystem::path& path) {
    std::FILE* file = std::fopen(path.c_str(), "rb");
    if (file == nullptr)
        throw Error(Fault::Input, fmt::format("cannot be read: {}", std::strerror(errno)),
                    {.file = path.string()});
    std::string text;
    char buffer[65536];
    std::size_t got = 0;
    while ((got = std::fread(buffer, 1, sizeof buffer, file)) > 0)
        text.append(buffer, got);
    const bool failed = std::ferror(file) != 0;
    const int reason = errno;
    std::fclose(file);
    if (failed)
        throw Error(Fault::Input, fmt::format("cannot be read: {}", std::strerror(reason)),
                    {.file = path.string()});
    return text;
}

KeyedTable parse_keyed_text(std::string_view text, const std::string& name) {
    try {
        auto root = std::make_shared<const toml::table>(toml::parse(text, name));
        const toml::table* table = root.get();
        return KeyedTable(std::make_shared<KeyedTable::State>(
            KeyedTable::State{std::move(root), table, name, "", {}}));
    } catch (const toml::parse_error& e) {
        Where w{.file = name, .key = {}};
        w.line = static_cast<int>(e.source().begin.line);
        w.column = static_cast<int>(e.source().begin.column);
        throw Error(Fault::Input, fmt::format("not valid TOML: {}", e.description()), w);
    }
}

KeyedTable read_keyed_file(const std::filesystem::path& path) {
    return parse_keyed_text(read_text_file(path), path.string());
}

} // namespace cellgrade
