// SPDX-License-Identifier: Apache-2.0
#include "solver/core/publish.hpp"

#include "solver/core/error.hpp"
#include "solver/core/keyed_file.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <csignal>
#include <fstream>
#include <sched.h>
#include <sys/mount.h>
#include <sys/resource.h>

using namespace cellgrade;
namespace fs = std::filesystem;
using test::message_of;

namespace {

std::size_t files_in(const fs::path& folder) {
    std::size_t n = 0;
    for ([[maybe_unused]] const auto& entry : fs::directory_iterator(folder))
        ++n;
    return n;
}

void write_raw(const fs::path& path, const std::string& content) {
    std::ofstream(path, std::ios::binary) << content;
}

/// 0: refused with `reason`, old file kept, no partial left; else which of these failed.
int verdict_of_refused_write(const fs::path& folder, const std::string& reason) {
    const fs::path path = folder / "a.bin";
    publish_text(path, "old");
    const std::string big(1 << 20, 'x');
    const std::string message = message_of([&] { publish_text(path, big); });
    if (message != path.string() + ": cannot be written: " + reason)
        return 1;
    if (read_text_file(path) != "old")
        return 2;
    return files_in(folder) == 1 ? 0 : 3;
}

} // namespace

TEST_CASE("publish_file: writes, replaces and leaves nothing else in the folder") {
    const test::ScratchFolder folder;
    publish_text(folder / "a.csv", "one\n");
    publish_text(folder / "a.csv", "two\n");
    CHECK(read_text_file(folder / "a.csv") == "two\n");
    publish_by_name(folder / "a.csv", [](const fs::path& name) { write_raw(name, "three"); });
    CHECK(read_text_file(folder / "a.csv") == "three");
    CHECK(files_in(folder.path()) == 1);
}

TEST_CASE("publish_file: an exception of the writer keeps the old file") {
    const test::ScratchFolder folder;
    publish_text(folder / "a", "old");
    const auto failing = [](FileSink& sink) {
        sink.write("half");
        throw run_error("the run broke");
    };
    CHECK(message_of([&] { publish_file(folder / "a", failing); }) == "the run broke");
    CHECK(read_text_file(folder / "a") == "old");
    CHECK(files_in(folder.path()) == 1);
}

TEST_CASE("publish_file: a kill before the rename keeps the old file") {
    const test::ScratchFolder folder;
    publish_text(folder / "a", "old");
    const int status = test::in_child([&] {
        publish_file(folder / "a", [](FileSink& sink) {
            sink.write("all of the new content");
            std::raise(SIGKILL);
        });
        return 0;
    });
    CHECK(WIFSIGNALED(status));
    CHECK(read_text_file(folder / "a") == "old");
}

TEST_CASE("publish_file: a full file system is refused with the path and the reason") {
    const test::ScratchFolder folder;
    const int status = test::in_child([&] {
        // A mount of the child's own, gone with it; as a plain user through a user name space.
        if (::unshare(CLONE_NEWNS) != 0 && ::unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0)
            return 77;
        ::mount(nullptr, "/", nullptr, MS_REC | MS_PRIVATE, nullptr);
        if (::mount("tmpfs", folder.path().c_str(), "tmpfs", 0, "size=64k") != 0)
            return 77;
        return verdict_of_refused_write(folder.path(), "no space left on device");
    });
    REQUIRE(WIFEXITED(status));
    if (WEXITSTATUS(status) == 77)
        MESSAGE("not checked here: this system lets no test mount a small file system");
    else
        CHECK(WEXITSTATUS(status) == 0);
}

TEST_CASE("publish_file: a file size limit is refused with the path and the reason") {
    const test::ScratchFolder folder;
    const int status = test::in_child([&] {
        const rlimit limit{.rlim_cur = 1000, .rlim_max = 1000};
        std::signal(SIGXFSZ, SIG_IGN);
        if (::setrlimit(RLIMIT_FSIZE, &limit) != 0)
            return 50;
        return verdict_of_refused_write(folder.path(), "file too large");
    });
    REQUIRE(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 0);
}

TEST_CASE("publish_file: devices, folders and missing folders are refused") {
    const test::ScratchFolder folder;
    CHECK(message_of([] { publish_text("/dev/full", "x"); }) ==
          "/dev/full: cannot be written: something that is not a regular file is in its place");
    CHECK(message_of([&] { publish_text(folder.path(), "x"); }).find("not a regular file") !=
          std::string::npos);
    CHECK(message_of([&] { publish_text(folder / "no/a", "x"); }).find("no such file") !=
          std::string::npos);
    fs::create_symlink(folder / "real", folder / "link");
    publish_text(folder / "real", "1");
    publish_text(folder / "link", "2");
    CHECK(fs::is_symlink(folder / "link"));
    CHECK(read_text_file(folder / "real") == "2");
}

TEST_CASE("read_checked_file: any flipped bit and any truncation is refused") {
    const test::ScratchFolder folder;
    const fs::path path = folder / "a";
    const std::string with_zero = "some" + std::string(3, '\0') + "end";
    publish_file(
        path, [&](FileSink& sink) { sink.write(with_zero); }, Trailer::Checksum);
    CHECK(read_checked_file(path) == with_zero);
    const std::string whole = read_text_file(path);
    CHECK(whole.size() == with_zero.size() + 128);
    CHECK(whole.substr(with_zero.size(), 26) == "cellgrade-checksum sha256 ");
    CHECK(whole.back() == '\n');
    for (std::size_t bit = 0; bit < 8 * whole.size(); ++bit) {
        std::string flipped = whole;
        flipped[bit / 8] = static_cast<char>(flipped[bit / 8] ^ (1 << bit % 8));
        write_raw(path, flipped);
        CHECK_THROWS_AS((void)read_checked_file(path), Error);
    }
    for (std::size_t length = 0; length < whole.size(); ++length) {
        write_raw(path, whole.substr(0, length));
        CHECK_THROWS_AS((void)read_checked_file(path), Error);
    }
}
