"""The march beside general-purpose integrators, on the shared bed cases, in one run.

    pip install -r benches/peers/requirements.txt
    cargo build --release -p sorbent --example march_cases
    python benches/peers/peers.py target/release/examples/march_cases [--seconds 2] [--cases P1,P2]

Peers solve the method of lines: second-order upwind differences over N cells, the same isotherm, straight
below 1e-4 of the inlet as the README of the cases advises, right-hand side compiled by numba, banded Jacobian by
differences. For each case the table gives milliseconds of the processor (best of the time allowed), the worst relative
error of the times at 1 %, 10 % and 50 % of each inlet, and how many times faster the march is.

CVODE calls back into Python for every right-hand side, which C would not; that way is measured and
taken off, so that its milliseconds are those of C.

Two vapours: nested ideal adsorbed solution (a bisection on the spreading pressure in each cell) inside
LSODA.
"""

import argparse
import json
import math
import pathlib
import subprocess
import time

import numba
import numpy as np
from scipy.integrate import odeint

FOLDER = pathlib.Path(__file__).parent / "../../data/checks/bed"
FRACTIONS = (0.01, 0.1, 0.5)
# data/checks/bed/README.md
REFERENCES = {
    "P1": [[9687.339, 10146.069, 12260.811]],
    "P2": [[222547.97, 239298.74, 304734.54]],
    "P3": [[11431.30, 11898.22, 14047.51]],
    "P6": [[3149.8, 3843.3, 5040.1], [20238.3, 20758.1, 22994.2]],
}


@numba.njit(cache=False, fastmath=False)
def load(c, full, b, saturation):
    """Dubinin-Radushkevich; below its tangent through the origin that straight line."""
    ln_tangent = math.log(saturation) - 0.5 / (b * b)
    if c <= 0.0:
        return full * math.exp(-0.25 / (b * b)) * c / math.exp(ln_tangent)
    ln_c = math.log(c)
    if ln_c < ln_tangent:
        return full * math.exp(-0.25 / (b * b)) * c / math.exp(ln_tangent)
    reduced = b * max(math.log(saturation) - ln_c, 0.0)
    return full * math.exp(-reduced * reduced)


@numba.njit(cache=False)
def single(y, out, n, inlet, p):
    """d/dt of levels and loads, interleaved. The gas is kept as an unknown, as in the balance."""
    eps, u, rho, dz, k, full, b, saturation, scale = p
    before2 = inlet
    before = inlet
    for i in range(n):
        c = y[2 * i] * scale
        q = y[2 * i + 1]
        # Below 1e-4 of the inlet a straight line, as the README of the cases advises for such peers.
        floor = 1e-4 * scale
        balance = load(c, full, b, saturation) if c > floor else load(floor, full, b, saturation) * c / floor
        rate = k * (balance - q)
        out[2 * i + 1] = rate
        gradient = (c - before) / dz if i == 0 else (3.0 * c - 4.0 * before + before2) / (2.0 * dz)
        out[2 * i] = (-u * gradient - rho * rate) / (eps * scale)
        before2 = before
        before = c


def stretches(problem):
    """(from, to, factor) without gaps."""
    rows, clock = [], 0.0
    for start, end, factor in problem.get("inlet") or [[0.0, problem["t_end"], 1.0]]:
        if start > clock:
            rows.append((clock, start, 0.0))
        rows.append((start, end, factor))
        clock = end
    if clock < problem["t_end"]:
        rows.append((clock, problem["t_end"], 0.0))
    return rows


def crossings(times, levels):
    """First times at which the outlet passes each fraction, by a straight line in the logarithm of odds."""
    found = []
    for fraction in FRACTIONS:
        above = np.nonzero(levels >= fraction)[0]
        if len(above) == 0 or above[0] == 0:
            found.append(float("nan"))
            continue
        i = above[0]
        odds = np.log(np.clip(levels, 1e-12, 1 - 1e-12) / (1 - np.clip(levels, 1e-12, 1 - 1e-12)))
        want = math.log(fraction / (1 - fraction))
        part = (want - odds[i - 1]) / (odds[i] - odds[i - 1])
        found.append(times[i - 1] + part * (times[i] - times[i - 1]))
    return found


class Single:
    def __init__(self, bed, problem, n):
        vapour = problem["comps"][0]
        self.n, self.inlet = n, vapour["c0_mol_m3"]
        self.rows = stretches(problem)
        self.p = (bed["eps"], bed["u_m_s"], bed["rho_b_kg_m3"], bed["depth_m"] / n, vapour["k_per_s"],
                  vapour["qs"], vapour["b"], vapour["csat"], self.inlet)

    def rhs(self, factor):
        out = np.empty(2 * self.n)
        inlet, n, p = self.inlet * factor, self.n, self.p

        def f(_t, y):
            single(y, out, n, inlet, p)
            return out

        return f

    def into(self, factor):
        inlet, n, p = self.inlet * factor, self.n, self.p

        def f(_t, y, yp):
            single(y, yp, n, inlet, p)

        return f

    def lsoda(self, rtol):
        y, times, levels = np.zeros(2 * self.n), [], []
        for start, end, factor in self.rows:
            asked = np.linspace(start, end, max(3, int(400 * (end - start) / self.rows[-1][1])))
            path = odeint(self.rhs(factor), y, asked, tfirst=True, rtol=rtol, atol=1e-6, ml=4, mu=1,
                          mxstep=100_000)
            y = path[-1]
            times.extend(asked[1:])
            levels.extend(path[1:, -2])
        return crossings(np.array(times), np.array(levels))

    def cvode(self, rtol, order):
        """Of low `order`: with higher ones the error test fails for good on second-order upwind
        differences, whose modes lie outside what those are stable for."""
        from sksundae.cvode import CVODE
        y, times, levels, calls = np.zeros(2 * self.n), [0.0], [0.0], 0
        for start, end, factor in self.rows:
            solver = CVODE(self.into(factor), method="BDF", rtol=rtol, atol=1e-6, linsolver="band",
                           lband=4, uband=1, max_num_steps=100_000, max_order=order)
            asked = np.linspace(start, end, max(3, int(400 * (end - start) / self.rows[-1][1])))
            solution = solver.solve(asked, y)
            if not solution.success:
                raise RuntimeError(f"gave up at {solution.t[-1]:.0f} s")
            y = solution.y[-1]
            calls += solution.nfev
            times.extend(solution.t[1:])
            levels.extend(solution.y[1:, -2])
        self.calls = calls
        return crossings(np.array(times), np.array(levels))

    def way_through_python_ms(self):
        """What one call of the right-hand side costs beyond the compiled code, from many of each."""
        y, out, f, rounds = np.full(2 * self.n, 0.5), np.empty(2 * self.n), self.into(1.0), 2000
        many(2, y, out, self.n, self.inlet, self.p)
        f(0.0, y, out)
        least = math.inf
        for _ in range(10):
            start = time.process_time()
            many(rounds, y, out, self.n, self.inlet, self.p)
            middle = time.process_time()
            for _ in range(rounds):
                f(0.0, y, out)
            least = min(least, time.process_time() - middle - (middle - start))
        return max(0.0, least) / rounds * 1e3


@numba.njit(cache=False)
def many(rounds, y, out, n, inlet, p):
    for _ in range(rounds):
        single(y, out, n, inlet, p)


@numba.njit(cache=False)
def alone(pi, full, b, saturation):
    """Level and load of a vapour alone at spreading pressure pi, by Newton's search on ln erfc."""
    whole = full * math.sqrt(math.pi) / (2 * b)
    if pi >= whole:
        return saturation * math.exp((pi - whole) / full), full
    target = math.log(pi / whole)
    w = math.sqrt(max(-target, 0.0))
    for _ in range(8):
        tail = math.erfc(w)
        step = (math.log(tail) - target) * tail * math.sqrt(math.pi) / 2 * math.exp(w * w)
        w += step
        if abs(step) < 1e-10:
            break
    return saturation * math.exp(-w / b), full * math.exp(-w * w)


@numba.njit(cache=False)
def together(y, out, n, inlet, k, full, b, saturation, bed):
    eps, u, rho, dz = bed
    m = len(inlet)
    before = inlet.copy()
    before2 = inlet.copy()
    c = np.empty(m)
    balance = np.empty(m)
    for i in range(n):
        total = 0.0
        for j in range(m):
            c[j] = max(y[2 * m * i + j], 0.0) * inlet[j]
            total += c[j]
        balance[:] = 0.0
        if total > 1e-9 * inlet[0]:
            low, high = math.log(1e-12), math.log(100.0)
            for _ in range(40):
                middle = 0.5 * (low + high)
                sum_x = 0.0
                for j in range(m):
                    sum_x += c[j] / alone(math.exp(middle), full[j], b[j], saturation[j])[0]
                if sum_x > 1.0:
                    low = middle
                else:
                    high = middle
            per = 0.0
            for j in range(m):
                level, held = alone(math.exp(low), full[j], b[j], saturation[j])
                balance[j] = c[j] / level
                per += balance[j] / held
            for j in range(m):
                balance[j] /= per
        for j in range(m):
            rate = k[j] * (balance[j] - y[2 * m * i + m + j])
            out[2 * m * i + m + j] = rate
            gradient = (c[j] - before[j]) / dz if i == 0 else (
                3.0 * c[j] - 4.0 * before[j] + before2[j]) / (2.0 * dz)
            out[2 * m * i + j] = (-u * gradient - rho * rate) / (eps * inlet[j])
            before2[j] = before[j]
            before[j] = c[j]


def nested(bed, problem, n, rtol):
    vapours = problem["comps"]
    of = lambda name: np.array([v[name] for v in vapours])
    inlet, m = of("c0_mol_m3"), len(vapours)
    arguments = (n, inlet, of("k_per_s"), of("qs"), of("b"), of("csat"),
                 (bed["eps"], bed["u_m_s"], bed["rho_b_kg_m3"], bed["depth_m"] / n))
    out = np.empty(2 * m * n)

    def f(_t, y):
        together(y, out, *arguments)
        return out

    asked = np.linspace(0.0, problem["t_end"], 400)
    path = odeint(f, np.zeros(2 * m * n), asked, tfirst=True, rtol=rtol, atol=1e-6, ml=4 * m,
                  mu=m, mxstep=100_000)
    last = 2 * m * (n - 1)
    return [crossings(asked, path[:, last + j]) for j in range(m)]


def worst(found, references):
    pairs = zip(np.ravel(found), np.ravel(references))
    return max(abs(a / b - 1) if math.isfinite(a) else math.inf for a, b in pairs)


def clocked(call, seconds):
    """Least milliseconds of processor time: a peer's run is long, and on a busy machine would be charged for
    its neighbours, as the short runs of the march, of which the best is taken, are not."""
    best, until, found = math.inf, time.perf_counter() + seconds, None
    while True:
        start = time.process_time()
        found = call()
        best = min(best, time.process_time() - start)
        if time.perf_counter() > until:
            return best * 1e3, found


def compiled(peer, rtol, order):
    """Times by CVODE, and how much of the run was the way from C through Python to the compiled code, ms."""
    times = peer.cvode(rtol, order)
    return [times], peer.calls * WAY[peer.n]


WAY = {}


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("march")
    parser.add_argument("--seconds", type=float, default=2.0)
    parser.add_argument("--cases", default=",".join(REFERENCES), help="of " + ", ".join(REFERENCES))
    arguments = parser.parse_args()
    shared = json.loads((FOLDER / "problems.json").read_text())
    lines = subprocess.run([arguments.march, str(FOLDER), str(arguments.seconds)], check=True,
                           capture_output=True, text=True).stdout.splitlines()
    marched = {row["case"]: row for row in map(json.loads, lines)}
    print(f"{'case':5} {'solver':34} {'ms':>10} {'worst error':>12} {'march is faster by':>19}")
    for case in arguments.cases.split(","):
        references = REFERENCES[case]
        problem, bed, march = shared["problems"][case], shared["bed"], marched[case]
        ours = [[t and t[0] for t in vapour["times"]] for vapour in march["times_s"]]
        with_estimate, bare = march["best_ms"], march["best_without_estimate_ms"]
        print(f"{case:5} {'march, with error estimate':34} {with_estimate:10.3f} {worst(ours, references):12.1e}")
        print(f"{case:5} {'march, without':34} {bare:10.3f} {worst(ours, references):12.1e}")
        peers = []
        if len(problem["comps"]) == 1:
            for n, rtol in [(100, 1e-6), (50, 1e-4)]:
                peers.append((f"LSODA N={n} rtol {rtol:g}",
                              lambda n=n, rtol=rtol: [Single(bed, problem, n).lsoda(rtol)]))
            for rtol in (1e-3, 1e-4):
                for order in (1, 2):
                    peers.append((f"CVODE N=50 rtol {rtol:g} order {order}", lambda rtol=rtol, order=order:
                                  compiled(Single(bed, problem, 50), rtol, order)))
            Single(bed, problem, 10).lsoda(1e-2)  # compiles
            for n in (50,):
                WAY[n] = Single(bed, problem, n).way_through_python_ms()
        else:
            nested(bed, dict(problem, t_end=1.0), 4, 1e-2)  # compiles
            peers.append(("nested, LSODA N=50 rtol 1e-4", lambda: nested(bed, problem, 50, 1e-4)))
        for name, call in peers:
            try:
                ms, found = clocked(call, arguments.seconds)
                if isinstance(found, tuple):
                    found, python_ms = found
                    ms -= python_ms
            except Exception as error:  # A peer that is not installed or gives up is said, not hidden.
                print(f"{case:5} {name:34} {type(error).__name__}: {error}")
                continue
            print(f"{case:5} {name:34} {ms:10.1f} {worst(found, references):12.1e} {ms / with_estimate:12.0f} times")


if __name__ == "__main__":
    main()
