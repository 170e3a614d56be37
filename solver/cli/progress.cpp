// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/progress.hpp"

#include <fmt/format.h>

#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdio>
#include <cstdlib>
#include <string_view>
#include <utility>

namespace cellgrade {

namespace {

bool stderr_is_terminal() {
    const char* term = std::getenv("TERM");
    return isatty(STDERR_FILENO) == 1 && (term == nullptr || std::string_view(term) != "dumb");
}

std::size_t terminal_width() {
    winsize size{};
    return ioctl(STDERR_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : 80;
}

} // namespace

std::string duration_text(double seconds) {
    const long s = std::lround(std::max(0.0, seconds));
    if (s >= 3600)
        return fmt::format("{} h {:02} min", s / 3600, s % 3600 / 60);
    if (s >= 60)
        return fmt::format("{} min {:02} s", s / 60, s % 60);
    return fmt::format("{} s", s);
}

Progress::Progress(std::string label, bool shown)
    : label_(std::move(label)), shown_(shown), terminal_(stderr_is_terminal()) {}

Progress::~Progress() {
    clear_line();
}

void Progress::update(double share, const std::string& detail, double given) {
    if (!shown_)
        return;
    const std::scoped_lock lock(mutex_);
    const Clock::time_point now = Clock::now();
    const int tenth = static_cast<int>(share * 10.0 + 1e-9);
    const double since = std::chrono::duration<double>(now - last_).count();
    const bool due = terminal_ ? since >= 0.1 : tenth != last_tenth_ || since >= 60.0;
    if (!due)
        return;
    last_ = now;
    last_tenth_ = tenth;
    const double spent = std::chrono::duration<double>(now - start_).count();
    std::string line = fmt::format("{}: {:3.0f} %, {}", label_, 100.0 * share, detail);
    if (share > given && share < 1.0 && spent > 1.0)
        line += fmt::format(", {} left", duration_text(spent * (1.0 - share) / (share - given)));
    if (terminal_) {
        line.resize(std::min(line.size(), terminal_width() - 1));
        std::fprintf(stderr, "\r\x1b[K%s", line.c_str());
        std::fflush(stderr);
        line_open_ = true;
    } else {
        std::fprintf(stderr, "%s\n", line.c_str());
    }
}

void Progress::say(const std::string& line) {
    if (!shown_)
        return;
    const std::scoped_lock lock(mutex_);
    clear_line();
    std::fprintf(stderr, "%s\n", line.c_str());
}

void Progress::clear_line() {
    if (line_open_)
        std::fputs("\r\x1b[K", stderr);
    line_open_ = false;
}

} // namespace cellgrade
