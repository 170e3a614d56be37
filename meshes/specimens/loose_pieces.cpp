// SPDX-License-Identifier: Apache-2.0
#include "meshes/specimens/loose_pieces.hpp"

#include "solver/core/disjoint_sets.hpp"

#include <algorithm>
#include <vector>

namespace cellgrade {
namespace {

void keep_struts(StrutNet& net, const std::vector<bool>& keep) {
    std::vector<NetStrut> struts;
    std::vector<Index> renamed(net.nodes.size(), no_index);
    for (std::size_t i = 0; i < net.struts.size(); ++i)
        if (keep[i]) {
            struts.push_back(net.struts[i]);
            renamed[net.struts[i].a] = renamed[net.struts[i].b] = 0;
        }
    Index next = 0;
    for (std::size_t n = 0; n < net.nodes.size(); ++n)
        if (renamed[n] != no_index) {
            renamed[n] = next;
            net.nodes[next] = net.nodes[n];
            net.is_cut[next] = net.is_cut[n];
            ++next;
        }
    net.nodes.resize(next);
    net.is_cut.resize(next);
    for (NetStrut& strut : struts) {
        strut.a = renamed[strut.a];
        strut.b = renamed[strut.b];
    }
    net.struts = std::move(struts);
}

} // namespace

LoosePieces drop_loose_pieces(StrutNet& net) {
    LoosePieces dropped;
    if (net.struts.empty())
        return dropped;
    DisjointSets sets(net.nodes.size());
    for (const NetStrut& strut : net.struts)
        sets.join(strut.a, strut.b);
    std::vector<double> length_of(net.nodes.size(), 0.0);
    double total = 0.0;
    for (const NetStrut& strut : net.struts) {
        length_of[sets.find(strut.a)] += length(net, strut);
        total += length(net, strut);
    }
    const auto main = static_cast<Index>(std::max_element(length_of.begin(), length_of.end()) -
                                         length_of.begin());
    std::vector<bool> keep;
    for (const NetStrut& strut : net.struts)
        keep.push_back(sets.find(strut.a) == main);
    dropped.struts = static_cast<Index>(std::count(keep.begin(), keep.end(), false));
    for (const double l : length_of)
        dropped.pieces += l > 0.0 ? 1 : 0;
    --dropped.pieces;
    dropped.length_share = 1.0 - length_of[main] / total;
    if (dropped.struts > 0)
        keep_struts(net, keep);
    return dropped;
}

} // namespace cellgrade
