// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <chrono>
#include <mutex>
#include <string>

namespace cellgrade {

/// Progress on stderr: on a terminal one line, rewritten at most 10 times a second; elsewhere a
/// plain line every 10 % or 60 s. The time left is estimated from the share of the work done.
/// Safe to call from several threads.
class Progress {
public:
    /// @param shown false: every call does nothing
    Progress(std::string label, bool shown);
    ~Progress();
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    /// @param share of the whole work that is done, 0 to 1
    /// @param detail what is being done now, one short phrase
    /// @param given  share that was there before and took no time; the time left is told without it
    void update(double share, const std::string& detail, double given = 0.0);

    /// A line of its own, above the rewritten one.
    void say(const std::string& line);

private:
    using Clock = std::chrono::steady_clock;

    void clear_line();

    std::string label_;
    bool shown_;
    bool terminal_;
    bool line_open_ = false;
    int last_tenth_ = -1;
    Clock::time_point start_ = Clock::now();
    Clock::time_point last_ = start_;
    std::mutex mutex_;
};

/// "2 h 05 min", "3 min 20 s" or "12 s".
[[nodiscard]] std::string duration_text(double seconds);

} // namespace cellgrade
