# SPDX-License-Identifier: Apache-2.0
# The one list of Debian 12 packages, sourced by examples/run_demo.sh and tests/run_tests.sh.

cellgrade_build_packages=(
    g++ cmake ninja-build libeigen3-dev libspectra-dev libhdf5-dev zlib1g-dev libminizip-dev
    libfmt-dev libtomlplusplus-dev nlohmann-json3-dev libcli11-dev libmuparser-dev)

cellgrade_test_packages=(
    doctest-dev libbenchmark-dev clang-format-14 lib3mf-dev python3 python3-h5py
    python3-numpy)

# For comparisons with an outside library, under the label slow; without it they are skipped.
cellgrade_slow_packages=(python3-getfem)

# cellgrade_install PACKAGE...   installs what is missing, as root or through sudo, and says so.
cellgrade_install() {
    local missing=() package as_root=()
    for package in "$@"; do
        if ! dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q 'install ok installed'; then
            missing+=("$package")
        fi
    done
    if [ ${#missing[@]} -eq 0 ]; then
        return 0
    fi
    echo "== installing Debian packages: ${missing[*]}"
    if [ "$(id -u)" -ne 0 ]; then
        if ! command -v sudo >/dev/null 2>&1; then
            echo "error: packages are missing and neither root nor sudo is at hand;" \
                "as root run: apt-get install ${missing[*]}" >&2
            return 2
        fi
        as_root=(sudo)
    fi
    "${as_root[@]}" apt-get update -qq
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive \
        apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
}

# cellgrade_fetch_page   packages of the report page, pinned by its lock file; Debian's node and npm
# only where there are none. Without them `cellgrade report` writes still pictures, and says so.
cellgrade_fetch_page() {
    if ! command -v node >/dev/null 2>&1 || ! command -v npm >/dev/null 2>&1; then
        cellgrade_install nodejs npm
    fi
    solver/report/page/fetch.sh ||
        echo "note: the packages of the report page were not fetched; its pages will have no scripts" >&2
}

# cellgrade_install_browser   for the tests of the report page, where there is none.
cellgrade_install_browser() {
    local name
    for name in chromium chromium-headless-shell chromium-browser; do
        if command -v "$name" >/dev/null 2>&1; then
            return 0
        fi
    done
    cellgrade_install chromium
}

# Number of parallel build jobs: the processors, or CELLGRADE_JOBS when set.
cellgrade_jobs() {
    echo "${CELLGRADE_JOBS:-$(nproc)}"
}
