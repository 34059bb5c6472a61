// Rest, and the waveform after a long run, of a stage by SUNDIALS IDA, on equations written afresh from the physics page.
//
// Reads a stage as lines (see exchange.ts) on standard input:  settle PERIODS RELATIVE ABSOLUTE SAMPLES
// (or "settle rests COUNT": the time that so many rest states of varied resistors and betas take).
// Writes lines: "rest v...", one "sample t v..." for each instant of the last period, "miss VOLTS" (largest change of a
// node between the starts of the last two periods), "seconds S" (the run alone, rest and reading left out), "steps N".
//
// Unknowns: node voltages, currents of voltage sources and inductors, and the charges of junctions (in picocoulombs) with
// a row of their own each, so that the Jacobian is exact without second derivatives. Dense linear solver.

#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <iostream>
#include <map>
#include <string>
#include <vector>

#include <ida/ida.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

using Values = std::map<std::string, double>;

static double get(const Values& v, const char* name, double otherwise) {
  auto found = v.find(name);
  return found == v.end() ? otherwise : found->second;
}
static double inverse(const Values& v, const char* name, double scale = 1) {
  auto found = v.find(name);
  return found == v.end() ? 0 : 1 / (found->second * scale);
}

static const double K_OVER_Q = 1.380649e-23 / 1.602176634e-19;
static const double T0 = 298.15;
static const double PICO = 1e12;

// exp, continued along its tangent above 90, which no solution reaches: Newton's first steps stay finite.
static double steep(double x, double& slope) {
  if (x <= 90) return slope = std::exp(x);
  slope = std::exp(90.0);
  return slope * (1 + x - 90);
}

struct Depletion {
  double c = 0, potential = 1, grading = 0;
  double charge(double v, double& capacitance) const {
    capacitance = 0;
    if (c == 0) return 0;
    const double edge = 2 * potential / 3;
    const double low = v < edge ? v : edge;
    const double base = 1 - low / potential;
    double q = c * potential / (1 - grading) * (1 - std::pow(base, 1 - grading));
    if (v <= edge) {
      capacitance = c * std::pow(base, -grading);
      return q;
    }
    const double over = v - edge, top = c * std::pow(3.0, grading);
    capacitance = top * (1 + 3 * grading * over / potential);
    return q + top * (over + 1.5 * grading * over * over / potential);
  }
};

struct Transistor {
  int c, b, e, q = -1;  // ends; index of the first charge unknown
  double p, is, bf, br, nf, nr, va, vb, kf, kr, ise, ne, isc, nc, vbr, ibr, vt, tf, tr;
  bool breaks;
  Depletion je, jc;
  bool charged() const { return tf > 0 || tr > 0 || je.c > 0 || jc.c > 0; }
};
struct Diode {
  int a, k, q = -1;
  double is, nvt, vbr, ibr, vt, tau;
  bool breaks;
  Depletion junction;
};
struct Two {
  int a, b;
  double value;
  int unknown = -1;
};

struct Stage {
  int nodes = 0, size = 0, driven = 0, output = 0;
  std::vector<double> known;
  double peak = 0, omega = 0, temperature = T0, scale = 1;
  std::vector<Two> resistors, capacitors, inductors, currents, voltages;
  std::vector<Transistor> transistors;
  std::vector<Diode> diodes;

  double at(const double* x, int end, double t) const {
    if (end >= 0) return x[end];
    double v = known[-1 - end] * scale;
    if (end == driven) v += peak * std::sin(omega * t);
    return v;
  }
};

// Adds to a row, or to a pair of row and column, when these are unknowns.
static void add(double* f, int row, double value) {
  if (row >= 0) f[row] += value;
}
struct Matrix {
  SUNMatrix m;
  void add(int row, int column, double value) {
    if (m != nullptr && row >= 0 && column >= 0) SM_ELEMENT_D(m, row, column) += value;
  }
};

// Residual F(t, x, x') and, with a matrix, dF/dx + cj dF/dx'.
static void evaluate(const Stage& s, double t, const double* x, const double* dx, double* f, SUNMatrix jacobian, double cj) {
  for (int k = 0; k < s.size; k++) f[k] = 0;
  Matrix j{jacobian};
  if (jacobian != nullptr) SUNMatZero(jacobian);
  auto conduct = [&](int a, int b, double g) {
    const double i = g * (s.at(x, a, t) - s.at(x, b, t));
    add(f, a, i);
    add(f, b, -i);
    j.add(a, a, g), j.add(a, b, -g), j.add(b, a, -g), j.add(b, b, g);
  };
  for (const Two& r : s.resistors) conduct(r.a, r.b, 1 / r.value);
  for (const Two& c : s.capacitors) {
    const double i = c.value * ((c.a >= 0 ? dx[c.a] : 0) - (c.b >= 0 ? dx[c.b] : 0));
    add(f, c.a, i);
    add(f, c.b, -i);
    const double g = c.value * cj;
    j.add(c.a, c.a, g), j.add(c.a, c.b, -g), j.add(c.b, c.a, -g), j.add(c.b, c.b, g);
  }
  for (const Two& i : s.currents) {
    add(f, i.a, i.value * s.scale);
    add(f, i.b, -i.value * s.scale);
  }
  auto branch = [&](const Two& v) {
    add(f, v.a, x[v.unknown]);
    add(f, v.b, -x[v.unknown]);
    j.add(v.a, v.unknown, 1), j.add(v.b, v.unknown, -1), j.add(v.unknown, v.a, 1), j.add(v.unknown, v.b, -1);
    f[v.unknown] += s.at(x, v.a, t) - s.at(x, v.b, t);
  };
  for (const Two& v : s.voltages) {
    branch(v);
    f[v.unknown] -= v.value * s.scale;
  }
  for (const Two& l : s.inductors) {
    branch(l);
    f[l.unknown] -= l.value * dx[l.unknown];
    j.add(l.unknown, l.unknown, -l.value * cj);
  }
  for (const Diode& d : s.diodes) {
    const double v = s.at(x, d.a, t) - s.at(x, d.k, t);
    double slope, i = d.is * (steep(v / d.nvt, slope) - 1), g = d.is * slope / d.nvt;
    if (d.breaks) {
      i -= d.ibr * steep(-(v + d.vbr) / d.vt, slope);
      g += d.ibr * slope / d.vt;
    }
    add(f, d.a, i);
    add(f, d.k, -i);
    j.add(d.a, d.a, g), j.add(d.a, d.k, -g), j.add(d.k, d.a, -g), j.add(d.k, d.k, g);
    if (d.q < 0) continue;
    double capacitance;
    const double stored = d.tau * d.is * (steep(v / d.nvt, slope) - 1) + d.junction.charge(v, capacitance);
    capacitance += d.tau * d.is * slope / d.nvt;
    add(f, d.a, dx[d.q] / PICO);
    add(f, d.k, -dx[d.q] / PICO);
    j.add(d.a, d.q, cj / PICO), j.add(d.k, d.q, -cj / PICO);
    f[d.q] = x[d.q] - PICO * stored;
    j.add(d.q, d.q, 1), j.add(d.q, d.a, -PICO * capacitance), j.add(d.q, d.k, PICO * capacitance);
  }
  for (const Transistor& q : s.transistors) {
    const double vb = s.at(x, q.b, t), be = q.p * (vb - s.at(x, q.e, t)), bc = q.p * (vb - s.at(x, q.c, t));
    double ef, er;
    const double i_f = q.is * (steep(be / q.nf, ef) - 1), g_f = q.is * ef / q.nf;
    const double i_r = q.is * (steep(bc / q.nr, er) - 1), g_r = q.is * er / q.nr;
    const double q1 = 1 / (1 - bc * q.va - be * q.vb), q2 = i_f * q.kf + i_r * q.kr;
    const double root = std::sqrt(1 + 4 * q2 > 1e-12 ? 1 + 4 * q2 : 1e-12);
    const double qb = 0.5 * q1 * (1 + root);
    const double qb_be = 0.5 * q1 * q1 * q.vb * (1 + root) + q1 * g_f * q.kf / root;
    const double qb_bc = 0.5 * q1 * q1 * q.va * (1 + root) + q1 * g_r * q.kr / root;
    const double ct = (i_f - i_r) / qb, ct_be = (g_f - ct * qb_be) / qb, ct_bc = (-g_r - ct * qb_bc) / qb;
    double slope, i_be = i_f / q.bf, g_be = g_f / q.bf, i_bc = i_r / q.br, g_bc = g_r / q.br;
    if (q.ise > 0) i_be += q.ise * (steep(be / q.ne, slope) - 1), g_be += q.ise * slope / q.ne;
    if (q.isc > 0) i_bc += q.isc * (steep(bc / q.nc, slope) - 1), g_bc += q.isc * slope / q.nc;
    if (q.breaks) i_be -= q.ibr * steep(-(be + q.vbr) / q.vt, slope), g_be += q.ibr * slope / q.vt;
    const double ic = ct - i_bc, ib = i_be + i_bc;
    add(f, q.c, q.p * ic);
    add(f, q.b, q.p * ib);
    add(f, q.e, -q.p * (ic + ib));
    // Derivatives to v_B, v_C, v_E: v_BE and v_BC rise with v_B, fall with v_E and v_C.
    auto current = [&](int row, double d_be, double d_bc) {
      j.add(row, q.b, d_be + d_bc), j.add(row, q.e, -d_be), j.add(row, q.c, -d_bc);
    };
    current(q.c, ct_be, ct_bc - g_bc);
    current(q.b, g_be, g_bc);
    current(q.e, -ct_be - g_be, -ct_bc);
    if (q.q < 0) continue;
    double ce, cc;
    const double qe = q.je.charge(be, ce), qc = q.jc.charge(bc, cc), qd = q.tf * i_f / qb;
    const double rate_e = dx[q.q] / PICO, rate_c = dx[q.q + 1] / PICO;
    add(f, q.b, q.p * (rate_e + rate_c));
    add(f, q.e, -q.p * rate_e);
    add(f, q.c, -q.p * rate_c);
    const double unit = q.p * cj / PICO;
    j.add(q.b, q.q, unit), j.add(q.b, q.q + 1, unit), j.add(q.e, q.q, -unit), j.add(q.c, q.q + 1, -unit);
    f[q.q] = x[q.q] - PICO * (qd + qe);
    f[q.q + 1] = x[q.q + 1] - PICO * (q.tr * i_r + qc);
    j.add(q.q, q.q, 1), j.add(q.q + 1, q.q + 1, 1);
    const double e_be = PICO * q.p * (q.tf * g_f / qb - qd * qb_be / qb + ce), e_bc = -PICO * q.p * qd * qb_bc / qb;
    j.add(q.q, q.b, -e_be - e_bc), j.add(q.q, q.e, e_be), j.add(q.q, q.c, e_bc);
    const double c_bc = PICO * q.p * (q.tr * g_r + cc);
    j.add(q.q + 1, q.b, -c_bc), j.add(q.q + 1, q.c, c_bc);
  }
}

static int residual(realtype t, N_Vector x, N_Vector dx, N_Vector f, void* user) {
  evaluate(*static_cast<Stage*>(user), t, NV_DATA_S(x), NV_DATA_S(dx), NV_DATA_S(f), nullptr, 0);
  return 0;
}
static std::vector<double> spare;
static int jacobian(realtype t, realtype cj, N_Vector x, N_Vector dx, N_Vector, SUNMatrix m, void* user, N_Vector, N_Vector, N_Vector) {
  evaluate(*static_cast<Stage*>(user), t, NV_DATA_S(x), NV_DATA_S(dx), spare.data(), m, cj);
  return 0;
}

[[noreturn]] static void fail(const std::string& what) {
  std::cerr << what << "\n";
  std::exit(1);
}

static Stage read() {
  Stage s;
  std::string word;
  while (std::cin >> word) {
    if (word == "unknowns") {
      std::cin >> s.nodes;
    } else if (word == "known") {
      int count;
      std::cin >> count;
      s.known.resize(count);
      for (double& v : s.known) std::cin >> v;
    } else if (word == "drive") {
      double frequency;
      std::cin >> s.driven >> s.peak >> frequency;
      s.omega = 2 * M_PI * frequency;
    } else if (word == "temperature") {
      std::cin >> s.temperature;
    } else if (word == "output") {
      std::cin >> s.output;
    } else if (word == "element") {
      std::string kind, name;
      int count;
      std::cin >> kind >> count;
      std::vector<int> ends(count);
      for (int& end : ends) std::cin >> end;
      Values v;
      for (std::cin >> count; count > 0; count--) {
        std::cin >> name;
        std::cin >> v[name];
      }
      if (!std::cin) fail("an element could not be read: " + kind);
      const double t = s.temperature, vt = K_OVER_Q * t, area = get(v, "area", 1);
      const double gamma = get(v, "saturationTemperatureExponent", 3.2), gap = get(v, "bandgapVoltage", 1.205);
      if (kind == "resistor") {
        s.resistors.push_back({ends[0], ends[1], v.at("ohms")});
      } else if (kind == "capacitor") {
        s.capacitors.push_back({ends[0], ends[1], v.at("farads")});
      } else if (kind == "inductor") {
        s.inductors.push_back({ends[0], ends[1], v.at("henries")});
      } else if (kind == "current") {
        s.currents.push_back({ends[0], ends[1], v.at("amperes")});
      } else if (kind == "voltage") {
        s.voltages.push_back({ends[0], ends[1], v.at("volts")});
      } else if (kind == "diode") {
        const double n = get(v, "ideality", 1);
        const double grow = std::pow(t / T0, gamma / n) * std::exp(gap / (n * K_OVER_Q) * (1 / T0 - 1 / t));
        Diode d{};
        d.a = ends[0], d.k = ends[1], d.q = -1, d.is = v.at("saturationCurrent") * area * grow, d.nvt = n * vt, d.vt = vt;
        d.breaks = v.count("breakdownVoltage") > 0, d.vbr = get(v, "breakdownVoltage", 0), d.ibr = 10e-6 * area;
        d.tau = get(v, "transitTime", 0);
        d.junction = {get(v, "junctionCapacitance", 0) * area, get(v, "junctionPotential", 1), get(v, "junctionGrading", 0)};
        s.diodes.push_back(d);
      } else if (kind == "transistor") {
        const double grow = std::pow(t / T0, gamma) * std::exp(gap / K_OVER_Q * (1 / T0 - 1 / t));
        const double gain = std::pow(t / T0, get(v, "betaTemperatureExponent", 0));
        Transistor q{};
        q.c = ends[0], q.b = ends[1], q.e = ends[2], q.q = -1, q.p = v.at("polarity");
        q.is = v.at("saturationCurrent") * area * grow, q.bf = v.at("forwardBeta") * gain, q.br = v.at("reverseBeta") * gain;
        q.nf = vt * get(v, "forwardIdeality", 1), q.nr = vt * get(v, "reverseIdeality", 1);
        q.va = inverse(v, "earlyVoltage"), q.vb = inverse(v, "reverseEarlyVoltage");
        q.kf = inverse(v, "forwardKneeCurrent", area), q.kr = inverse(v, "reverseKneeCurrent", area);
        const double ne = get(v, "emitterLeakageIdeality", 1), nc = get(v, "collectorLeakageIdeality", 1);
        q.ise = get(v, "emitterLeakageCurrent", 0) * area / gain * std::pow(grow, 1 / ne), q.ne = ne * vt;
        q.isc = get(v, "collectorLeakageCurrent", 0) * area / gain * std::pow(grow, 1 / nc), q.nc = nc * vt;
        q.breaks = v.count("emitterBreakdownVoltage") > 0, q.vbr = get(v, "emitterBreakdownVoltage", 0), q.ibr = 10e-6 * area, q.vt = vt;
        q.tf = get(v, "forwardTransitTime", 0), q.tr = get(v, "reverseTransitTime", 0);
        q.je = {get(v, "emitterJunctionCapacitance", 0) * area, get(v, "emitterJunctionPotential", 1), get(v, "emitterJunctionGrading", 0)};
        q.jc = {get(v, "collectorJunctionCapacitance", 0) * area, get(v, "collectorJunctionPotential", 1), get(v, "collectorJunctionGrading", 0)};
        s.transistors.push_back(q);
      } else {
        fail("unknown element: " + kind);
      }
    } else {
      fail("unknown word: " + word);
    }
  }
  s.size = s.nodes;
  for (Two& v : s.voltages) v.unknown = s.size++;
  for (Two& l : s.inductors) l.unknown = s.size++;
  for (Transistor& q : s.transistors)
    if (q.charged()) q.q = s.size, s.size += 2;
  for (Diode& d : s.diodes)
    if (d.tau > 0 || d.junction.c > 0) d.q = s.size++;
  return s;
}

// Newton at rest from where x is, with the rise of a conducting junction limited to 0.1 V a step.
static bool newton(const Stage& s, N_Vector x, N_Vector zero, SUNMatrix m, SUNLinearSolver solver, N_Vector f, N_Vector step) {
  double* v = NV_DATA_S(x);
  for (int round = 0; round < 500; round++) {
    evaluate(s, 0, v, NV_DATA_S(zero), NV_DATA_S(f), m, 0);
    if (SUNLinSolSetup(solver, m) != 0 || SUNLinSolSolve(solver, m, step, f, 0) != 0) return false;
    const double* d = NV_DATA_S(step);
    double limit = 1, largest = 0;
    auto watch = [&](int a, int b, double p) {
      const double now = p * (s.at(v, a, 0) - s.at(v, b, 0)), change = -p * ((a >= 0 ? d[a] : 0) - (b >= 0 ? d[b] : 0));
      if (now + change > 0.4 && change > 0.1) limit = std::fmin(limit, 0.1 / change);
    };
    for (const Transistor& q : s.transistors) watch(q.b, q.e, q.p), watch(q.b, q.c, q.p);
    for (const Diode& q : s.diodes) watch(q.a, q.k, 1);
    for (int k = 0; k < s.size; k++) {
      v[k] -= limit * d[k];
      if (k < s.nodes) largest = std::fmax(largest, std::fabs(d[k]));
    }
    // Rounding leaves some 1e-13 V where a node hangs on a large resistance.
    if (limit == 1 && largest < (round < 60 ? 1e-12 : 1e-11)) return true;
  }
  return false;
}

// Rest: sources raised in steps.
static void rest(Stage& s, N_Vector x, N_Vector zero, SUNMatrix m, SUNLinearSolver solver, N_Vector f, N_Vector step) {
  for (int part = 1; part <= 20; part++) {
    s.scale = part / 20.0;
    if (!newton(s, x, zero, m, solver, f, step)) fail("rest: Newton did not converge");
  }
}

// Rest of `count` stages with every resistance and forward beta drawn between 1/1.5 and 1.5 times its own value, evenly in
// logarithm, each from the nominal solution in x; returns seconds. A count of failures is written, not hidden.
static double rests(Stage& s, int count, N_Vector x, N_Vector zero, SUNMatrix m, SUNLinearSolver solver, N_Vector f, N_Vector step) {
  const Stage nominal = s;
  N_Vector at = N_VClone(x);
  unsigned long long state = 1;
  auto factor = [&] {
    state = state * 6364136223846793005ull + 1442695040888963407ull;
    return std::pow(1.5, 2 * (static_cast<double>(state >> 11) / 9007199254740992.0) - 1);
  };
  int failures = 0;
  const auto begin = std::chrono::steady_clock::now();
  for (int k = 0; k < count; k++) {
    for (size_t r = 0; r < s.resistors.size(); r++) s.resistors[r].value = nominal.resistors[r].value * factor();
    for (size_t q = 0; q < s.transistors.size(); q++) s.transistors[q].bf = nominal.transistors[q].bf * factor();
    N_VScale(1, x, at);
    if (!newton(s, at, zero, m, solver, f, step)) failures++;
  }
  const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  std::printf("failures %d\n", failures);
  s = nominal;
  N_VDestroy(at);
  return seconds;
}

int main(int count, char** words) {
  const bool many = count == 3 && std::string(words[1]) == "rests";
  if (count != 5 && !many) fail("usage: settle PERIODS RELATIVE ABSOLUTE SAMPLES < stage, or settle rests COUNT < stage");
  Stage s = read();
  spare.resize(s.size);
  SUNContext context;
  SUNContext_Create(nullptr, &context);
  N_Vector x = N_VNew_Serial(s.size, context), dx = N_VClone(x), f = N_VClone(x), step = N_VClone(x), tolerance = N_VClone(x);
  N_VConst(0, x);
  N_VConst(0, dx);
  SUNMatrix m = SUNDenseMatrix(s.size, s.size, context);
  SUNLinearSolver solver = SUNLinSol_Dense(x, m, context);
  rest(s, x, dx, m, solver, f, step);
  if (many) {
    std::printf("seconds %.9g\n", rests(s, std::atoi(words[2]), x, dx, m, solver, f, step));
    return 0;
  }
  const int periods = std::atoi(words[1]), samples = std::atoi(words[4]);
  const double relative = std::atof(words[2]), absolute = std::atof(words[3]);
  std::printf("rest");
  for (int k = 0; k < s.nodes; k++) std::printf(" %.17g", NV_Ith_S(x, k));
  std::printf("\n");

  const auto begin = std::chrono::steady_clock::now();
  const double period = 2 * M_PI / s.omega;
  // Volts and picocoulombs are held to the absolute tolerance alike; branch currents to a thousandth of it.
  N_VConst(absolute, tolerance);
  for (const Two& v : s.voltages) NV_Ith_S(tolerance, v.unknown) = absolute * 1e-3;
  for (const Two& l : s.inductors) NV_Ith_S(tolerance, l.unknown) = absolute * 1e-3;
  void* ida = IDACreate(context);
  if (IDAInit(ida, residual, 0, x, dx) != IDA_SUCCESS || IDASVtolerances(ida, relative, tolerance) != IDA_SUCCESS || IDASetUserData(ida, &s) != IDA_SUCCESS ||
      IDASetLinearSolver(ida, solver, m) != IDA_SUCCESS || IDASetJacFn(ida, jacobian) != IDA_SUCCESS || IDASetMaxNumSteps(ida, 100000000) != IDA_SUCCESS ||
      IDASetInitStep(ida, period * 1e-6) != IDA_SUCCESS)
    fail("IDA refused its settings");
  realtype t;
  std::vector<double> before(s.nodes), shown;
  double seconds = 0;
  for (int k = 1; k < periods; k++) {
    if (IDASolve(ida, k * period, &t, x, dx, IDA_NORMAL) < 0) fail("IDA gave up");
    if (k == periods - 1)
      for (int i = 0; i < s.nodes; i++) before[i] = NV_Ith_S(x, i);
  }
  shown.reserve(static_cast<size_t>(samples) * s.nodes);
  for (int k = 0; k <= samples; k++) {
    const double now = (periods - 1 + static_cast<double>(k) / samples) * period;
    if (!(k == 0) && IDASolve(ida, now, &t, x, dx, IDA_NORMAL) < 0) fail("IDA gave up");
    if (k < samples)
      for (int i = 0; i < s.nodes; i++) shown.push_back(NV_Ith_S(x, i));
  }
  double miss = 0;
  for (int i = 0; i < s.nodes; i++) miss = std::fmax(miss, std::fabs(NV_Ith_S(x, i) - before[i]));
  seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  for (int k = 0; k < samples; k++) {
    std::printf("sample");
    for (int i = 0; i < s.nodes; i++) std::printf(" %.17g", shown[static_cast<size_t>(k) * s.nodes + i]);
    std::printf("\n");
  }
  long steps = 0;
  IDAGetNumSteps(ida, &steps);
  std::printf("miss %.17g\nseconds %.9g\nsteps %ld\n", miss, seconds, steps);
  return 0;
}
