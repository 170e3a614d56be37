// SPDX-License-Identifier: Apache-2.0
#include "solver/report/base64.hpp"

#include "solver/core/error.hpp"

#include <zlib.h>

namespace cellgrade {

std::string base64(std::string_view bytes) {
    static constexpr std::string_view digits =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    const auto at = [&](std::size_t i) {
        return i < bytes.size() ? static_cast<unsigned>(static_cast<unsigned char>(bytes[i])) : 0U;
    };
    std::string out;
    out.reserve((bytes.size() + 2) / 3 * 4);
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        const unsigned three = at(i) << 16U | at(i + 1) << 8U | at(i + 2);
        out.push_back(digits[three >> 18U]);
        out.push_back(digits[three >> 12U & 63U]);
        out.push_back(i + 1 < bytes.size() ? digits[three >> 6U & 63U] : '=');
        out.push_back(i + 2 < bytes.size() ? digits[three & 63U] : '=');
    }
    return out;
}

std::string gzipped(std::string_view bytes) {
    constexpr int gzip_window = 15 + 16, memory_level = 9;
    z_stream stream{};
    CELLGRADE_CHECK(deflateInit2(&stream, Z_BEST_COMPRESSION, Z_DEFLATED, gzip_window, memory_level,
                                 Z_DEFAULT_STRATEGY) == Z_OK,
                    "zlib cannot begin to compress");
    std::string out(deflateBound(&stream, static_cast<uLong>(bytes.size())), '\0');
    std::string in(bytes); // zlib's interface of this version takes no const
    stream.next_in = reinterpret_cast<Bytef*>(in.data());
    stream.avail_in = static_cast<uInt>(in.size());
    stream.next_out = reinterpret_cast<Bytef*>(out.data());
    stream.avail_out = static_cast<uInt>(out.size());
    const int end = deflate(&stream, Z_FINISH);
    out.resize(stream.total_out);
    deflateEnd(&stream);
    CELLGRADE_CHECK(end == Z_STREAM_END, "zlib does not finish: {}", end);
    return out;
}

} // namespace cellgrade
