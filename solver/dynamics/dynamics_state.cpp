// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/dynamics_state.hpp"

#include "solver/core/error.hpp"

#include <array>
#include <cstddef>
#include <cstring>

namespace cellgrade {

namespace {

using Doubles = std::vector<double>;

template <class T>
Doubles flat(const std::vector<T>& records) {
    static_assert(sizeof(T) % sizeof(double) == 0);
    Doubles out(records.size() * (sizeof(T) / sizeof(double)));
    if (!out.empty())
        std::memcpy(out.data(), records.data(), out.size() * sizeof(double));
    return out;
}

template <class T>
std::vector<T> records(const Doubles& values) {
    std::vector<T> out(values.size() * sizeof(double) / sizeof(T));
    if (!out.empty())
        std::memcpy(static_cast<void*>(out.data()), values.data(), out.size() * sizeof(T));
    return out;
}

Doubles flat_vec3(const std::vector<Vec3>& vectors) {
    Doubles out;
    for (const Vec3& v : vectors)
        out.insert(out.end(), {v.x(), v.y(), v.z()});
    return out;
}

std::vector<Vec3> vec3s(const Doubles& values) {
    std::vector<Vec3> out;
    for (std::size_t i = 0; i + 2 < values.size(); i += 3)
        out.emplace_back(values[i], values[i + 1], values[i + 2]);
    return out;
}

Doubles flat_index(const std::vector<Index>& numbers) {
    return {numbers.begin(), numbers.end()};
}

std::vector<Index> indices(const Doubles& values) {
    std::vector<Index> out;
    for (const double v : values)
        out.push_back(static_cast<Index>(v));
    return out;
}

Doubles flat_clock(const BodyDynamics::Clock& c) {
    Doubles out{c.time,    c.material_time,         c.dt,        c.omega,        c.body_omega,
                c.fastest, c.contact_omega_squared, c.work_half, c.damping_half, c.friction};
    for (const Index count : {c.steps, c.next_look, c.looks_apart})
        out.push_back(static_cast<double>(count));
    return out;
}

BodyDynamics::Clock clock_of(const Doubles& v) {
    CELLGRADE_CHECK(v.size() == 13, "saved clock has {} numbers, 13 are needed", v.size());
    const auto count = [&](std::size_t i) { return static_cast<Index>(v[i]); };
    return {v[0], v[1], v[2], v[3],      v[4],      v[5],     v[6],
            v[7], v[8], v[9], count(10), count(11), count(12)};
}

Doubles flat_ledger(const EnergyLedger& l) {
    return {l.kinetic, l.stored, l.viscous, l.contact, l.friction, l.damping, l.external};
}

EnergyLedger ledger_of(const Doubles& v) {
    return {v[0], v[1], v[2], v[3], v[4], v[5], v[6]};
}

void save_plates(const PlateMotion::State& p, const std::string& at, const ArraySink& sink) {
    sink.save(at + "/position", p.position);
    sink.save(at + "/speed", p.speed);
    sink.save(at + "/force", flat_vec3(p.force));
    sink.save(at + "/springs", p.springs);
    sink.save(at + "/sums", {p.work, p.friction});
}

PlateMotion::State load_plates(const std::string& at, const ArraySource& source) {
    const Doubles sums = source.load(at + "/sums");
    return {.position = source.load(at + "/position"),
            .speed = source.load(at + "/speed"),
            .force = vec3s(source.load(at + "/force")),
            .springs = source.load(at + "/springs"),
            .work = sums[0],
            .friction = sums[1]};
}

void save_contact(const ContactState& c, const std::string& at, const ArraySink& sink) {
    sink.save(at + "/built_x", c.built_x);
    sink.save(at + "/boxes", {c.built_box[0], c.built_box[1], c.built_box[2], c.last_box[0],
                              c.last_box[1], c.last_box[2]});
    sink.save(at + "/spring_keys", flat_index(c.spring_keys));
    sink.save(at + "/springs", c.springs);
    sink.save(at + "/rebuilds", {static_cast<double>(c.n_rebuilds)});
}

ContactState load_contact(const std::string& at, const ArraySource& source) {
    const Doubles boxes = source.load(at + "/boxes");
    return {.built_x = source.load(at + "/built_x"),
            .built_box = {boxes[0], boxes[1], boxes[2]},
            .last_box = {boxes[3], boxes[4], boxes[5]},
            .spring_keys = indices(source.load(at + "/spring_keys")),
            .springs = source.load(at + "/springs"),
            .n_rebuilds = static_cast<Index>(source.load(at + "/rebuilds")[0])};
}

} // namespace

void save_state(const BodyDynamics::State& s, const std::string& prefix, const ArraySink& sink) {
    sink.save(prefix + "/clock", flat_clock(s.clock));
    sink.save(prefix + "/pose", flat(s.nodes.pose));
    sink.save(prefix + "/rate", flat(s.nodes.rate));
    sink.save(prefix + "/spin", flat_vec3(s.nodes.spin));
    sink.save(prefix + "/box", flat_vec3({s.box.lengths, s.box.velocity}));
    sink.save(prefix + "/counts", {static_cast<double>(s.plates.size()), s.contact ? 1.0 : 0.0});
    for (std::size_t i = 0; i < s.plates.size(); ++i)
        save_plates(s.plates[i], prefix + "/plates" + std::to_string(i), sink);
    if (s.contact)
        save_contact(*s.contact, prefix + "/contact", sink);
    sink.save(prefix + "/body", s.body);
    sink.save(prefix + "/load", flat(s.load));
    sink.save(prefix + "/box_load", flat_vec3({s.box_load}));
    sink.save(prefix + "/parts", flat_ledger(s.parts));
    sink.save(prefix + "/ledger", flat_ledger(s.ledger));
}

BodyDynamics::State load_state(const std::string& prefix, const ArraySource& source) {
    BodyDynamics::State s;
    s.clock = clock_of(source.load(prefix + "/clock"));
    s.nodes.pose = records<NodePose>(source.load(prefix + "/pose"));
    s.nodes.rate = records<NodeRate>(source.load(prefix + "/rate"));
    s.nodes.spin = vec3s(source.load(prefix + "/spin"));
    const std::vector<Vec3> box = vec3s(source.load(prefix + "/box"));
    s.box = {.lengths = box[0], .velocity = box[1]};
    const Doubles counts = source.load(prefix + "/counts");
    for (std::size_t i = 0; i < static_cast<std::size_t>(counts[0]); ++i)
        s.plates.push_back(load_plates(prefix + "/plates" + std::to_string(i), source));
    if (counts[1] != 0.0)
        s.contact = load_contact(prefix + "/contact", source);
    s.body = source.load(prefix + "/body");
    s.load = records<NodeLoad>(source.load(prefix + "/load"));
    s.box_load = vec3s(source.load(prefix + "/box_load"))[0];
    s.parts = ledger_of(source.load(prefix + "/parts"));
    s.ledger = ledger_of(source.load(prefix + "/ledger"));
    return s;
}

} // namespace cellgrade
