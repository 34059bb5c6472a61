"""
Rest and settled waveform of a stage by SciPy, on equations written afresh from the physics page.

Reads a stage as JSON on standard input (see exchange.ts), writes JSON: the unknown nodes at rest, one settled period at
512 uniform instants from the drive's upward crossing, and harmonics of the output from 8192 instants.

Method, none of it the engine's: node voltages are split into the directions that capacitances see (the states) and the
rest (algebraic, solved for by Newton with limited junction voltages for all instants at once). The rest state comes from
scipy.optimize.root, the periodic state from scipy.integrate.solve_bvp (fourth-order collocation on its own mesh) with
y(0) = y(T), and scipy.integrate.solve_ivp (Radau) runs one further period from it as proof that it returns.
"""

import json
import sys

import numpy as np
from scipy.integrate import solve_bvp, solve_ivp
from scipy.optimize import root

K_OVER_Q = 1.380649e-23 / 1.602176634e-19
T0 = 298.15


def steep_exp(x):
    """exp, continued along its tangent above 90, far beyond any solution: keeps Newton's first steps finite."""
    y = np.minimum(x, 90.0)
    e = np.exp(y)
    return e * (1.0 + (x - y)), e


def depletion(v, c0, potential, grading):
    """Charge and capacitance of a junction, the capacitance continued along its tangent above 2/3 of the potential."""
    edge = 2.0 * potential / 3.0
    low = np.minimum(v, edge)
    base = 1.0 - low / potential
    q_low = c0 * potential / (1.0 - grading) * (1.0 - base ** (1.0 - grading))
    c_low = c0 * base**-grading
    over = v - low
    c_edge = c0 * 3.0**grading
    c_high = c_edge * (1.0 + 3.0 * grading * over / potential)
    q_high = c_edge * (over + 1.5 * grading * over**2 / potential)
    return np.where(v > edge, q_low + q_high, q_low), np.where(v > edge, c_high, c_low)


class Transistor:
    """Transport-form Gummel-Poon; currents and charges with derivatives to (v_BE, v_BC), all for the NPN sense."""

    def __init__(self, v, temperature):
        vt = K_OVER_Q * temperature
        area = v["area"]
        ratio = temperature / T0
        grow = ratio ** v.get("saturationTemperatureExponent", 3.2) * np.exp(
            v.get("bandgapVoltage", 1.205) / K_OVER_Q * (1.0 / T0 - 1.0 / temperature)
        )
        gain = ratio ** v.get("betaTemperatureExponent", 0.0)
        self.i_s = v["saturationCurrent"] * area * grow
        self.beta_f, self.beta_r = v["forwardBeta"] * gain, v["reverseBeta"] * gain
        self.nf, self.nr = vt * v.get("forwardIdeality", 1.0), vt * v.get("reverseIdeality", 1.0)
        self.inv_va = 1.0 / v["earlyVoltage"] if "earlyVoltage" in v else 0.0
        self.inv_vb = 1.0 / v["reverseEarlyVoltage"] if "reverseEarlyVoltage" in v else 0.0
        self.inv_ikf = 1.0 / (v["forwardKneeCurrent"] * area) if "forwardKneeCurrent" in v else 0.0
        self.inv_ikr = 1.0 / (v["reverseKneeCurrent"] * area) if "reverseKneeCurrent" in v else 0.0
        self.leaks = []
        for side in ("emitter", "collector"):
            leak = v.get(side + "LeakageCurrent", 0.0) * area
            n = v.get(side + "LeakageIdeality", 1.0)
            self.leaks.append((leak / gain * grow ** (1.0 / n), n * vt))
        self.breakdown = v.get("emitterBreakdownVoltage")
        self.i_break, self.vt = 10e-6 * area, vt
        self.tau_f, self.tau_r = v.get("forwardTransitTime", 0.0), v.get("reverseTransitTime", 0.0)
        self.cj = [
            (v.get(s + "JunctionCapacitance", 0.0) * area, v.get(s + "JunctionPotential", 1.0), v.get(s + "JunctionGrading", 0.0))
            for s in ("emitter", "collector")
        ]
        self.charged = self.tau_f > 0 or self.tau_r > 0 or self.cj[0][0] > 0 or self.cj[1][0] > 0
        self.polarity = v["polarity"]

    def transport(self, be, bc):
        ef, df = steep_exp(be / self.nf)
        er, dr = steep_exp(bc / self.nr)
        i_f, g_f = self.i_s * (ef - 1.0), self.i_s * df / self.nf
        i_r, g_r = self.i_s * (er - 1.0), self.i_s * dr / self.nr
        q1 = 1.0 / (1.0 - bc * self.inv_va - be * self.inv_vb)
        q2 = i_f * self.inv_ikf + i_r * self.inv_ikr
        root_ = np.sqrt(np.maximum(1.0 + 4.0 * q2, 1e-12))
        qb = 0.5 * q1 * (1.0 + root_)
        qb_be = 0.5 * q1 * q1 * self.inv_vb * (1.0 + root_) + q1 * g_f * self.inv_ikf / root_
        qb_bc = 0.5 * q1 * q1 * self.inv_va * (1.0 + root_) + q1 * g_r * self.inv_ikr / root_
        return i_f, g_f, i_r, g_r, qb, qb_be, qb_bc

    def currents(self, be, bc):
        """I_C and I_B with their derivatives: (ic, ib, ic_be, ic_bc, ib_be, ib_bc)."""
        i_f, g_f, i_r, g_r, qb, qb_be, qb_bc = self.transport(be, bc)
        ct = (i_f - i_r) / qb
        ct_be = (g_f - ct * qb_be) / qb
        ct_bc = (-g_r - ct * qb_bc) / qb
        (ise, ne), (isc, nc) = self.leaks
        le, lde = steep_exp(be / ne)
        lc, ldc = steep_exp(bc / nc)
        i_be, g_be = i_f / self.beta_f + ise * (le - 1.0), g_f / self.beta_f + ise * lde / ne
        i_bc, g_bc = i_r / self.beta_r + isc * (lc - 1.0), g_r / self.beta_r + isc * ldc / nc
        if self.breakdown is not None:
            b, db = steep_exp(-(be + self.breakdown) / self.vt)
            i_be, g_be = i_be - self.i_break * b, g_be + self.i_break * db / self.vt
        return ct - i_bc, i_be + i_bc, ct_be, ct_bc - g_bc, g_be, g_bc

    def charges(self, be, bc):
        """Q_BE, Q_BC and dQ_BE/dv_BE, dQ_BE/dv_BC, dQ_BC/dv_BC."""
        i_f, g_f, i_r, g_r, qb, qb_be, qb_bc = self.transport(be, bc)
        qe, ce = depletion(be, *self.cj[0])
        qc, cc = depletion(bc, *self.cj[1])
        qd = self.tau_f * i_f / qb
        return qd + qe, self.tau_r * i_r + qc, self.tau_f * g_f / qb - qd * qb_be / qb + ce, -qd * qb_bc / qb, self.tau_r * g_r + cc


class Diode:
    def __init__(self, v, temperature):
        vt = K_OVER_Q * temperature
        n = v.get("ideality", 1.0)
        gamma, gap = v.get("saturationTemperatureExponent", 3.2), v.get("bandgapVoltage", 1.205)
        self.nvt, self.vt = n * vt, vt
        self.i_s = (
            v["saturationCurrent"] * v["area"] * (temperature / T0) ** (gamma / n) * np.exp(gap / (n * K_OVER_Q) * (1.0 / T0 - 1.0 / temperature))
        )
        self.breakdown, self.i_break = v.get("breakdownVoltage"), 10e-6 * v["area"]
        self.tau = v.get("transitTime", 0.0)
        self.cj = (v.get("junctionCapacitance", 0.0) * v["area"], v.get("junctionPotential", 1.0), v.get("junctionGrading", 0.0))
        self.charged = self.tau > 0 or self.cj[0] > 0

    def capacitance(self, v):
        _, d = steep_exp(v / self.nvt)
        return self.tau * self.i_s * d / self.nvt + depletion(v, *self.cj)[1]

    def currents(self, v):
        e, d = steep_exp(v / self.nvt)
        i, g = self.i_s * (e - 1.0), self.i_s * d / self.nvt
        if self.breakdown is not None:
            b, db = steep_exp(-(v + self.breakdown) / self.vt)
            i, g = i - self.i_break * b, g + self.i_break * db / self.vt
        return i, g


class Stage:
    def __init__(self, data):
        self.names = data["nodes"]
        self.known = np.array(data["known"])
        self.driven = -1 - data["driven"]
        self.peak, self.frequency = data["drive"]["peak"], data["drive"]["frequency"]
        self.output = data["output"]
        self.scale = 1.0  # of all sources, for the start
        n, m = len(self.names), len(self.known)
        sources = [e for e in data["elements"] if e["kind"] == "voltage"]
        self.n, self.size = n, n + len(sources)
        # Columns: unknown nodes, source currents, known nodes.
        width = self.size + m
        column = lambda end: end if end >= 0 else self.size - 1 - end
        self.linear = np.zeros((self.size, width))
        self.constant = np.zeros(self.size)
        cap_rows, self.caps, self.charged = [], [], []
        self.junctions, self.devices = [], []  # rows of incidence; (kind, model, index of its first junction)
        out_rows = []
        self.coils = []

        def incidence(a, b, sign=1.0):
            row = np.zeros(width)
            row[column(a)] += sign
            row[column(b)] -= sign
            return row

        k = n
        for e in data["elements"]:
            kind, ends, v = e["kind"], e["ends"], e["values"]
            if kind == "resistor":
                row = incidence(*ends)
                self.linear += np.outer(row[: self.size], row) / v["ohms"]
            elif kind == "current":
                self.constant += incidence(*ends)[: self.size] * v["amperes"]
            elif kind == "voltage":
                row = incidence(*ends)
                self.linear[:n, k] += row[:n]
                self.linear[k] += row
                self.constant[k] -= v["volts"]
                k += 1
            elif kind == "capacitor":
                cap_rows.append(incidence(*ends))
                self.caps.append(v["farads"])
            elif kind == "inductor":
                self.coils.append((incidence(*ends), v["henries"]))
            elif kind == "diode":
                self.devices.append(("diode", Diode(v, data["temperature"]), len(self.junctions)))
                self.junctions.append(incidence(*ends))
                out_rows.append(incidence(*ends)[: self.size])
            elif kind == "transistor":
                model = Transistor(v, data["temperature"])
                c, b, em = ends
                p = model.polarity
                self.devices.append(("transistor", model, len(self.junctions)))
                self.junctions += [incidence(b, em, p), incidence(b, c, p)]
                # A current pair (I_C, I_B) enters at collector and base and leaves at the emitter.
                out_rows += [incidence(c, em, p)[: self.size], incidence(b, em, p)[: self.size]]
        self.junctions = np.array(self.junctions).reshape(-1, width)
        self.out_rows = np.array(out_rows).reshape(-1, self.size)
        for kind, model, j in self.devices:
            if model.charged:
                self.charged.append((kind, model, j, len(cap_rows)))
                cap_rows += list(self.junctions[j : j + (2 if kind == "transistor" else 1)])
        self.cap_rows = np.array(cap_rows).reshape(-1, width)
        basis = self.cap_rows[:, : self.size].T
        u, s, _ = np.linalg.svd(basis) if basis.size else (np.eye(self.size), np.zeros(0), None)
        r = int((s > 1e-9).sum())
        self.p, self.nn, self.r = u[:, :r], u[:, r:], r
        self.start_junctions = None

    def known_at(self, t):
        """Known volts at phases t (turns of the drive), rows by instant."""
        v = np.repeat(self.known[None, :] * self.scale, len(t), axis=0)
        v[:, self.driven] += self.peak * self.drive_scale * np.sin(2.0 * np.pi * t)
        return v

    drive_scale = 1.0

    def device_currents(self, vj):
        count = self.out_rows.shape[0]
        i = np.zeros((len(vj), count))
        g = np.zeros((len(vj), count, vj.shape[1]))
        for kind, model, j in self.devices:
            if kind == "diode":
                i[:, j], g[:, j, j] = model.currents(vj[:, j])
            else:
                ic, ib, a, b, c, d = model.currents(vj[:, j], vj[:, j + 1])
                i[:, j], i[:, j + 1] = ic, ib
                g[:, j, j], g[:, j, j + 1], g[:, j + 1, j], g[:, j + 1, j + 1] = a, b, c, d
        return i, g

    def residual(self, x, known, coil):
        """Kirchhoff's sums without the capacitors' currents."""
        full = np.hstack([x, known])
        i, _ = self.device_currents(full @ self.junctions.T)
        sums = full @ self.linear.T + self.constant * self.scale + i @ self.out_rows
        for k, (row, _) in enumerate(self.coils):
            sums += coil[:, k : k + 1] * row[: self.size]
        return sums

    def algebraic(self, states, known, coil):
        """All unknowns x for given states: Newton on the rest, with junction voltages limited as they rise."""
        held = states @ self.p.T
        lin_x, lin_k = self.linear[:, : self.size], self.linear[:, self.size :]
        jx, jk = self.junctions[:, : self.size], self.junctions[:, self.size :]
        constant = known @ lin_k.T + self.constant * self.scale
        for k, (row, _) in enumerate(self.coils):
            constant = constant + coil[:, k : k + 1] * row[: self.size]
        vj = np.repeat(self.start_junctions[None, :], len(known), axis=0) if self.start_junctions is not None else np.full((len(known), len(jx)), 0.3)
        x = None
        for _ in range(400):
            i, g = self.device_currents(vj)
            matrix = lin_x[None] + np.einsum("oa,koj,jb->kab", self.out_rows, g, jx)
            right = -(constant + (i + np.einsum("koj,kj->ko", g, known @ jk.T - vj)) @ self.out_rows)
            a = self.nn.T @ matrix @ self.nn
            b = (right - np.einsum("kab,kb->ka", matrix, held)) @ self.nn
            w = np.linalg.solve(a, b[:, :, None])[:, :, 0]
            x = held + w @ self.nn.T
            new = x @ jx.T + known @ jk.T
            # Trial states of the boundary-value solver may be far out, where doubles are coarser than 1e-11 V.
            step = (np.abs(new - vj) / np.maximum(1.0, np.abs(x).max(axis=1, keepdims=True))).max() if new.size else 0.0
            if step < 1e-11:
                return x
            rise = new - vj
            damped = np.where((new > 0.5) & (rise > 0.05), np.maximum(vj, 0.5) + 0.0257 * np.log1p(np.maximum(new - np.maximum(vj, 0.5), 0.0) / 0.0257), new)
            vj = damped
        raise RuntimeError(f"the algebraic part did not converge: last step {step}")

    def rate(self, t, y):
        """States' rate of change per turn of the drive; y has a column for each instant."""
        y = y.T
        states, coil = y[:, : self.r], y[:, self.r :]
        known = self.known_at(t)
        x = self.algebraic(states, known, coil)
        flow = self.residual(x, known, coil) @ self.p
        period = 1.0 / self.frequency
        if self.r:
            full = np.hstack([x, known])
            c = np.zeros((len(x), len(self.cap_rows), len(self.cap_rows)))
            for k, farads in enumerate(self.caps):
                c[:, k, k] = farads
            for kind, model, j, k in self.charged:
                if kind == "diode":
                    c[:, k, k] = model.capacitance(full @ self.junctions[j])
                    continue
                vj = full @ self.junctions[j : j + 2].T
                _, _, c[:, k, k], c[:, k, k + 1], c[:, k + 1, k + 1] = model.charges(vj[:, 0], vj[:, 1])
            seen = self.cap_rows[:, : self.size] @ self.p
            mass = np.einsum("br,kbc,cs->krs", seen, c, seen)
            out = -np.linalg.solve(mass, flow[:, :, None])[:, :, 0] * period
        else:
            out = np.zeros((len(x), 0))
        full = np.hstack([x, known])
        coils = [(full @ row) / henries * period for row, henries in self.coils]
        return np.vstack([out.T, *[c[None, :] for c in coils]]) if coils else out.T

    def rest(self):
        """Everything at the drive's zero crossing, sources raised together, then polished by scipy.optimize.root."""
        if self.coils:
            raise SystemExit("stages with inductors need their rest currents; none is among ours")
        saved_p, saved_n, saved_r = self.p, self.nn, self.r
        self.p, self.nn, self.r = np.zeros((self.size, 0)), np.eye(self.size), 0
        x = None
        for self.scale in np.linspace(0.1, 1.0, 10):
            known = self.known[None, :] * self.scale
            x = self.algebraic(np.zeros((1, 0)), known, np.zeros((1, 0)))[0]
            self.start_junctions = np.hstack([x, known[0]]) @ self.junctions.T
        known = self.known[None, :]

        def jacobian(z):
            full = np.hstack([z[None], known])
            _, g = self.device_currents(full @ self.junctions.T)
            return self.linear[:, : self.size] + np.einsum("oa,oj,jb->ab", self.out_rows, g[0], self.junctions[:, : self.size])

        found = root(lambda z: self.residual(z[None], known, np.zeros((1, 0)))[0] * 1e3, x, jac=lambda z: jacobian(z) * 1e3, tol=1e-13)
        self.p, self.nn, self.r = saved_p, saved_n, saved_r
        worst = np.abs(found.fun).max() / 1e3
        if worst > 1e-11:
            raise RuntimeError(f"rest: residual {worst} A")
        return found.x, worst


def settle(stage, x0):
    """One settled period as a function of phase, and how far a further Radau period misses its start."""
    if stage.r == 0:
        return (lambda t: np.zeros((0, len(t)))), 0.0
    start = (np.linspace(0.0, 1.0, 401), np.repeat((x0 @ stage.p)[:, None], 401, axis=1))

    def periodic(mesh, y, tolerance):
        return solve_bvp(stage.rate, lambda a, b: a - b, mesh, y, tol=tolerance, max_nodes=40000)

    # At once where that works; else the drive is raised in steps, each coarse solution being the start of the next.
    try:
        found = periodic(*start, 1e-3)
    except (np.linalg.LinAlgError, RuntimeError):
        found = None  # a trial state too far out
    if found is None or found.status != 0:
        mesh, y = start
        for stage.drive_scale in (0.05, 0.2, 0.5, 0.8, 1.0):
            found = periodic(mesh, y, 1e-3)
            if found.status != 0:
                raise RuntimeError(f"solve_bvp at {stage.drive_scale} of the drive: {found.message}")
            mesh = np.linspace(0.0, 1.0, 1001)
            y = found.sol(mesh)
    found = periodic(found.x, found.y, 1e-6)
    if found.status != 0:
        raise RuntimeError(f"solve_bvp: {found.message}")
    run = solve_ivp(lambda t, z: stage.rate(np.array([t]), z[:, None])[:, 0], (0.0, 1.0), found.sol(0.0), method="Radau", rtol=1e-8, atol=1e-9)
    if not run.success:
        raise RuntimeError(run.message)
    return found.sol, float(np.abs(run.y[:, -1] - run.y[:, 0]).max())


def main():
    stage = Stage(json.load(sys.stdin))
    x0, worst = stage.rest()
    solution, miss = settle(stage, x0)

    def at(phases):
        return stage.algebraic(solution(phases).T[:, : stage.r], stage.known_at(phases), np.zeros((len(phases), 0)))

    shown = at(np.arange(512) / 512)
    wave = at(np.arange(8192) / 8192)[:, stage.output]
    lines = np.abs(np.fft.rfft(wave)) * 2.0 / len(wave)
    mean = wave.mean()
    total = np.sqrt(np.mean((wave - mean) ** 2) - lines[1] ** 2 / 2.0)
    json.dump(
        {
            "rest": dict(zip(stage.names, x0[: stage.n].tolist())),
            "restResidual": worst,
            "nodes": {name: shown[:, k].tolist() for k, name in enumerate(stage.names)},
            "harmonics": lines[1:21].tolist(),
            "distortion": float(total / (lines[1] / np.sqrt(2.0))),
            "miss": miss,
        },
        sys.stdout,
    )


main()
