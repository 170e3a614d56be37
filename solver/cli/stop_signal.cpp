// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/stop_signal.hpp"

#include <csignal>

namespace cellgrade {

namespace {

// A signal handler can reach nothing but an object of static storage.
volatile std::sig_atomic_t caught = 0;

extern "C" void note_signal(int signal) {
    caught = signal;
    std::signal(signal, SIG_DFL);
}

} // namespace

void catch_stop_signals() {
    std::signal(SIGINT, note_signal);
    std::signal(SIGTERM, note_signal);
}

bool stop_was_asked() noexcept {
    return caught != 0;
}

int stop_signal_exit_code() noexcept {
    return caught == 0 ? 3 : 128 + caught;
}

} // namespace cellgrade
