// SPDX-License-Identifier: Apache-2.0
#include "solver/core/sha256.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace cellgrade;

// Expected digests: NIST, "Examples with Intermediate Values", SHA-256 (one block, two blocks), and
// the long vector of FIPS 180-2 appendix B.3 (a million 'a'); the empty text from NIST CAVP
// SHA256ShortMsg Len = 0. Compared with sha256sum (GNU coreutils) when this was written.
TEST_CASE("sha256: the standard's vectors") {
    CHECK(sha256_hex("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    CHECK(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
          "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    CHECK(sha256_hex("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    CHECK(sha256_hex(std::string(1000000, 'a')) ==
          "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("sha256: pieces of any length give the digest of the whole [around block ends]") {
    std::string text;
    for (int i = 0; i < 300; ++i)
        text += static_cast<char>(i * 37 % 251);
    for (const std::size_t length : {0UL, 1UL, 55UL, 56UL, 63UL, 64UL, 65UL, 119UL, 128UL, 300UL}) {
        const std::string whole = sha256_hex(text.substr(0, length));
        for (const std::size_t piece : {1UL, 7UL, 63UL, 64UL, 65UL}) {
            Sha256 hash;
            for (std::size_t start = 0; start < length; start += piece)
                hash.add(text.substr(start, std::min(piece, length - start)));
            CHECK(hash.hex() == whole);
            CHECK(hash.hex() == whole); // asking does not change it
        }
    }
}
