"""MuJoCo as an independent solver: stitches as particles on slide joints, bars and floats as spring tendons.

A spatial tendon with ``springlength="low high"`` has no force between the two lengths and a spring outside: with
low = high it is a bar, with low = 0 a float that only pulls, with a huge high something that only pushes. Its force is
a polynomial of how far it is past them, ``stiffness="k k1 k2"``: k x + k1 x^2 + k2 x^3.
"""

from __future__ import annotations

from dataclasses import dataclass

import mujoco
import numpy as np

from fabricsim.arrays import Floats, Ints
from fabricsim.mechanics.laws import Elastic, Knitted, Taut
from fabricsim.mechanics.terms import Term

FAR = 1e6
"""A length, m, that nothing here reaches."""


@dataclass(frozen=True)
class Springs:
    """``end_s2`` (s, 2) int; no force between ``low_s`` and ``high_s`` (s,) m; past them ``stiffness_s`` N/m times
    the way past, ``squared_s`` N/m2 times its square and ``cubed_s`` N/m3 times its cube."""

    end_s2: Ints
    stiffness_s: Floats
    low_s: Floats
    high_s: Floats
    squared_s: Floats | float = 0.0
    cubed_s: Floats | float = 0.0


def springs_of(term: Term, ends: tuple[int, int] = (0, 1)) -> list[Springs]:
    """Return the springs that stand for a term of bars or of floats; its length joins the points ``ends``.

    The law of knitted bars is a sum of four: a linear one; one that pulls by the cube of the stretch, (R - 1) k
    e^3 / 3 lock^2 times L; one beyond the lock that takes from it what is more than linear there, as e^3 / 3 lock^2 =
    lock / 3 + o + o^2 / lock + o^3 / 3 lock^2 with o = e - lock; and one beyond the jam that pushes.
    """
    end_s2 = term.node_bp[:, list(ends)]
    ones, law = np.ones(len(end_s2)), term.law
    if isinstance(law, Elastic):
        return [Springs(end_s2, law.stiffness * ones, law.rest * ones, law.rest * ones)]
    if isinstance(law, Taut):
        return [Springs(end_s2, law.stiffness * ones, 0.0 * ones, law.length * ones)]
    assert isinstance(law, Knitted)
    k, rest = law.stiffness * ones, law.rest * ones
    past_lock, past_jam = k * (law.lock_ratio - 1.0), k * (law.jam_ratio - 1.0)
    squared, cubed = past_lock / (law.lock * rest), past_lock / (3.0 * (law.lock * rest) ** 2)
    none = 0.0 * ones
    return [
        Springs(end_s2, k, rest, rest),
        Springs(end_s2, none, none, rest, cubed_s=cubed),
        Springs(end_s2, none, none, rest * (1.0 + law.lock), squared_s=-squared, cubed_s=-cubed),
        Springs(end_s2, past_jam, rest * (1.0 - law.jam), FAR * ones),
    ]


def model_of(mass_n: Floats, springs: list[Springs], held: frozenset[int] = frozenset()) -> mujoco.MjModel:
    """Return the model of particles with these masses (kg); unknowns (3 a particle) in ``held`` get no
    joint."""
    joint = [f'<joint type="slide" axis="{axis}"/>' for axis in ("1 0 0", "0 1 0", "0 0 1")]
    lines = [
        '<mujoco><option gravity="0 0 0" timestep="1" integrator="implicitfast">'
        '<flag contact="disable" constraint="disable" energy="disable"/></option><worldbody>'
    ]
    for i, mass in enumerate(mass_n):
        joints = "".join(joint[a] for a in range(3) if 3 * i + a not in held)
        lines.append(f'<body>{joints}<geom size="1e-4" mass="{float(mass)!r}"/><site name="{i}"/></body>')
    lines.append("</worldbody><tendon>")
    for group in springs:
        higher = (np.broadcast_to(one, group.low_s.shape) for one in (group.squared_s, group.cubed_s))
        columns = (group.stiffness_s, *higher, group.low_s, group.high_s)
        for (a, b), k, k1, k2, low, high in zip(group.end_s2, *columns, strict=True):
            lines.append(
                f'<spatial stiffness="{float(k)!r} {float(k1)!r} {float(k2)!r}" '
                f'springlength="{float(low)!r} {float(high)!r}">'
                f'<site site="{a}"/><site site="{b}"/></spatial>'
            )
    lines.append("</tendon></mujoco>")
    return mujoco.MjModel.from_xml_string("".join(lines))


def stable_masses(springs: list[Springs], nodes: int) -> Floats:
    """Return masses (n,) kg for ``relax``: 1.2 dt^2/4 times a row sum of the stiffness with dt = 1.

    The row sum is a diagonal entry and its neighbours, so twice the stiffness that meets at a node.
    """
    row_sum_n = np.zeros(nodes)
    for group in springs:
        for end in range(2):
            np.add.at(row_sum_n, group.end_s2[:, end], 2.0 * group.stiffness_s)
    return 0.3 * row_sum_n


def gradient_of(springs: list[Springs], x_nc: Floats) -> Floats:
    """Return the gradient (n, 3) N of the springs' energy by inverse dynamics at rest, without a time
    step."""
    model = model_of(np.ones(len(x_nc)), springs)
    data = mujoco.MjData(model)
    data.qpos[:] = x_nc.ravel()
    mujoco.mj_inverse(model, data)
    return (data.qfrc_inverse - data.qfrc_applied).reshape(-1, 3)


def anchors_of(x_nc: Floats, around_e4: Ints, node_e: Ints, offset: float) -> Floats:
    """Return x - offset n (e, 3) with n along (right - left) x (up - down), for complex positions too.

    ``around_e4`` (e, 4): left, right, down, up of each anchor's node. Written out on its own, to check the
    other one.
    """
    left, right, down, up = (x_nc[around_e4[:, k]] for k in range(4))
    (a, b, c), (d, e, f) = (right - left).T, (up - down).T
    n_ec = np.stack([b * f - c * e, c * d - a * f, a * e - b * d], axis=1)
    return x_nc[node_e] - offset * n_ec / np.sqrt((n_ec * n_ec).sum(axis=1))[:, None]


def relax(
    mass_n: Floats,
    springs: list[Springs],
    x_nc: Floats,
    held: frozenset[int],
    *,
    weight_n: Floats | None = None,
    tolerance: float,
    most: int = 20_000,
) -> tuple[Floats, int]:
    """Return where the particles come to rest and the time steps taken, by damped dynamics.

    Dynamic relaxation: masses of 1.2 dt^2/4 times a row sum of the stiffness keep the explicit step stable,
    damping is 2 omega m with omega^2 = -(dx . df)/(dx . M dx) of the slowest motion, estimated anew every ten
    steps (Papadrakakis 1981, Comput. Meth. Appl. Mech. Eng. 25, 35, memory). ``weight_n`` (n,) N pulls down;
    the model's own gravity is off, as the masses are not the real ones.
    """
    model = model_of(mass_n, springs, held=held)
    data = mujoco.MjData(model)
    free = np.array([k for k in range(x_nc.size) if k not in held])
    fixed = np.array(sorted(held), dtype=np.intp)
    for k in fixed:  # a held coordinate is part of the body's own place
        model.body_pos[1 + k // 3, k % 3] = x_nc.flat[k]
    data.qpos[:] = x_nc.flat[free]
    if weight_n is not None:
        load = np.zeros(x_nc.size)
        load[2::3] = -weight_n
        data.qfrc_applied[:] = load[free]
    inertia = np.repeat(mass_n, 3)[free]
    model.dof_damping[:] = 0.0
    omega = 0.0
    last_x, last_f = data.qpos.copy(), None
    for step in range(most):
        mujoco.mj_forward(model, data)
        force = data.qfrc_spring + data.qfrc_applied
        if np.abs(force).max() < tolerance:
            break
        if step % 10 == 0:
            if last_f is not None:
                dx, df = data.qpos - last_x, force - last_f
                omega = np.sqrt(max(-(dx @ df), 0.0) / max(dx @ (inertia * dx), 1e-300))
            last_x, last_f = data.qpos.copy(), force.copy()
            model.dof_damping[:] = 2.0 * omega * inertia
        mujoco.mj_step(model, data)
    else:
        raise AssertionError(f"the oracle did not come to rest: {np.abs(force).max()} N")
    found = x_nc.copy()
    found.flat[free] = data.qpos
    return found, step
