// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdlib>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <sys/wait.h>
#include <unistd.h>

namespace cellgrade::test {

/// An empty folder of its own under the system's temporary folder, removed at the end.
class ScratchFolder {
public:
    ScratchFolder() {
        std::string name = (std::filesystem::temp_directory_path() / "cellgrade-").string();
        name.append(6, 'X'); // the places that mkdtemp fills
        if (::mkdtemp(name.data()) == nullptr)
            throw std::runtime_error("no temporary folder for the test");
        path_ = name;
    }
    ScratchFolder(const ScratchFolder&) = delete;
    ScratchFolder& operator=(const ScratchFolder&) = delete;
    ScratchFolder(ScratchFolder&&) = delete;
    ScratchFolder& operator=(ScratchFolder&&) = delete;
    ~ScratchFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    [[nodiscard]] std::filesystem::path operator/(const char* name) const { return path_ / name; }
    [[nodiscard]] const std::filesystem::path& path() const { return path_; }

private:
    std::filesystem::path path_;
};

/// Message of the exception that `act` throws; empty when it throws none.
template <class Act>
std::string message_of(Act act) {
    try {
        act();
    } catch (const std::exception& e) {
        return e.what();
    }
    return "";
}

/// Runs `act` in a child process, so that limits and mounts end with it. @return wait status
template <class Act>
int in_child(Act act) {
    const pid_t child = ::fork();
    if (child == 0) {
        int code = 99;
        try {
            code = act();
        } catch (...) {
            code = 98;
        }
        ::_exit(code);
    }
    int status = -1;
    ::waitpid(child, &status, 0);
    return status;
}

} // namespace cellgrade::test
