"""Distributions, and worked examples of propagating them. Run: python3 make_sampling.py

Tolerances of sampled rows are 5 standard errors for the stated number of draws, from the exact densities here:
mean  5 u/sqrt(M);  standard deviation  5 sqrt((mu4 - u^4)/M)/(2u);  quantile  5 sqrt(p(1-p)/M)/f(q);
end of a shortest interval with both ends inside: 5 standard deviations of the place where a parabola plus a two-sided
random walk is least (Groeneboom & Wellner 2001: sd 0.5134 in units of (2s/c)^(2/3)), plus the quantile's 5 standard errors.
"""
import numpy as np
import scipy
from scipy import integrate, optimize, stats
from toml_rows import Rows

V = f"scipy {scipy.__version__}"
M = 1_000_000
rows = Rows("make_sampling.py", "distributions and their propagation")


def se_mean(u):
    return 5 * u / np.sqrt(M)


def se_sd(u, mu4):
    return 5 * np.sqrt((mu4 - u**4) / M) / (2 * u)


def se_quantile(p, density):
    return 5 * np.sqrt(p * (1 - p) / M) / density


def normal(mean, sd):
    return {"form": "normal", "mean": mean, "sd": sd}


def uniform(mean, half):
    return {"form": "uniform", "mean": mean, "half_width": half}


def mc(name, model, inputs, what, expected, tolerance, kind, source, reason, unit="1", call=None, must_differ=False, **more):
    rows.add(name, "monte_carlo", kind, source, unit, tolerance, reason,
             {"model": model, "quantities": inputs, "what": what, "draws": M, "seed": 20260101, **more}, expected, call, must_differ)


FIVE = f"5 standard errors at {M} draws from the exact density"
# --- additive models -------------------------------------------------------------------------------------------------
q = 0.975
four_normal = [normal(0, 1)] * 4
z = stats.norm(0, 2)
t_q = se_quantile(q, z.pdf(z.ppf(q)))
mc("sum of four standard normals", "sum", four_normal, ["mean", "sd", "q0.025", "q0.975"], [0, 2, -z.ppf(q), z.ppf(q)],
   [se_mean(2), se_sd(2, 3 * 16), t_q, t_q], "closed_form", "normal with standard deviation 2; JCGM 101:2008, 9.2.2", FIVE)
mc("sum of four standard normals, as printed", "sum", four_normal, ["mean", "sd", "q0.025", "q0.975"], [0, 2, -3.92, 3.92],
   [se_mean(2), se_sd(2, 48), 0.005 + t_q, 0.005 + t_q], "published", "JCGM 101:2008, 9.2.2, table 2: 0.00, 2.00, [-3.92, 3.92]",
   "half a unit of the last printed figure, and " + FIVE)

h = np.sqrt(3.0)
four_uniform = [uniform(0, h)] * 4
end = 2 * h * (2 - 0.6**0.25)
# density of the sum near its end: the volume of a corner simplex
pdf4 = lambda y: (4 * h - abs(y)) ** 3 / 6 / (2 * h) ** 4
mu4 = 4 * (h**4 / 5) + 3 * 4 * 3 * 1.0
t_q = se_quantile(q, pdf4(end))
mc("sum of four rectangular quantities", "sum", four_uniform, ["mean", "sd", "q0.025", "q0.975"], [0, 2, -end, end],
   [se_mean(2), se_sd(2, mu4), t_q, t_q], "closed_form", "2*sqrt(3)*(2 - 0.6^(1/4)); JCGM 101:2008, 9.2.3", FIVE)
mc("sum of four rectangular quantities, as printed", "sum", four_uniform, ["sd", "q0.025", "q0.975"], [2.0, -3.88, 3.88],
   [0.005 + se_sd(2, mu4), 0.005 + t_q, 0.005 + t_q], "published", "JCGM 101:2008, 9.2.3, table 3: u 2.00, [-3.88, 3.88]",
   "half a unit of the last printed figure, and " + FIVE)
mc("sum of four rectangular quantities is not what the linear law says", "sum", four_uniform, ["q0.025", "q0.975"],
   [-3.92, 3.92], [0.005 + t_q] * 2, "published", "JCGM 101:2008, 9.2.3, table 3, row GUF: [-3.92, 3.92]",
   "must differ by more than rounding and " + FIVE, must_differ=True)

wide = [uniform(0, h)] * 3 + [uniform(0, 10 * h)]
# three rectangulars (Irwin-Hall of 3) spread over the wide one
ih3 = lambda x: np.where(x < 1, x * x / 2, np.where(x < 2, (-2 * x * x + 6 * x - 3) / 2, (3 - x) ** 2 / 2))
def cdf_wide(y):
    f = lambda x: ih3(x) * np.clip((y - 2 * h * (x - 1.5) + 10 * h) / (20 * h), 0, 1)
    return sum(integrate.quad(f, a, a + 1, epsabs=1e-14)[0] for a in (0, 1, 2))
end = optimize.brentq(lambda y: cdf_wide(y) - q, 15, 20, xtol=1e-12)
pdf = (cdf_wide(end + 1e-3) - cdf_wide(end - 1e-3)) / 2e-3
u = np.sqrt(103.0)
m4 = 3 * (h**4 / 5) + (10 * h) ** 4 / 5 + 3 * (3 * 2 * 1.0 + 2 * 3 * 1.0 * 100.0)
t_q = se_quantile(q, pdf)
assert abs(end - 17.015814) < 1e-5, end
mc("sum of rectangular quantities, one dominant", "sum", wide, ["mean", "sd", "q0.025", "q0.975"], [0, u, -end, end],
   [se_mean(u), se_sd(u, m4), t_q, t_q], "other_program", "convolution of the exact densities; JCGM 101:2008, 9.2.4", FIVE,
   call=f"make_sampling.py cdf_wide(): scipy.integrate.quad and scipy.optimize.brentq, {V}")
mc("sum of rectangular quantities, one dominant, as printed", "sum", wide, ["sd", "q0.025", "q0.975"], [10.1, -17.0, 17.0],
   [0.05 + se_sd(u, m4), 0.05 + t_q, 0.05 + t_q], "published", "JCGM 101:2008, 9.2.4, table 4: u 10.1, [-17.0, 17.0] (from memory)",
   "half a unit of the last printed figure, and " + FIVE)
mc("sum with a dominant rectangular quantity is not what the linear law says", "sum", wide, ["q0.025", "q0.975"], [-19.9, 19.9],
   [0.05 + t_q] * 2, "published", "JCGM 101:2008, 9.2.4, table 4, row GUF: [-19.9, 19.9] (from memory)",
   "must differ by more than rounding and " + FIVE, must_differ=True)

# --- comparison loss ---------------------------------------------------------------------------------------------------
s = 0.005
CHERNOFF = 0.5134
for x1 in (0.0, 0.010, 0.050):
    y = stats.ncx2(2, (x1 / s) ** 2) if x1 else stats.chi2(2)
    k = s * s * 1e6                                            # in 1e-6
    quantities = [normal(x1 * 1e3, s * 1e3), normal(0, s * 1e3)]   # in 1e-3, so that squares are in 1e-6
    mean, u = k * y.mean(), k * y.std()
    mu4 = (float(y.stats("k")) + 3) * u**4
    Q, f = (lambda p: k * y.ppf(p)), (lambda v: y.pdf(v / k) / k)
    low = optimize.minimize_scalar(lambda p: Q(p + 0.95) - Q(p), bounds=(1e-9, 0.05 - 1e-9), method="bounded", options={"xatol": 1e-12}).x
    if low < 1e-4:                                             # the density falls, or is highest near 0: the interval starts at 0
        ends = [0.0, Q(0.95)]
        # its lower end is the least of M values, or so few above it that their share is a root-M matter
        tol = [Q(5 * np.sqrt(0.95 * 0.05 / M)), se_quantile(0.95, f(Q(0.95)))]
        if x1:
            d = Q(0.95 + 1e-3) - Q(0.95) - Q(1e-3)
            assert d > 0
    else:
        ends = [Q(low), Q(low + 0.95)]
        dp = 1e-4
        L = lambda p: Q(p + 0.95) - Q(p)
        c = (L(low + dp) - 2 * L(low) + L(low - dp)) / dp**2
        noise = np.sqrt((1 / f(ends[0]) ** 2 + 1 / f(ends[1]) ** 2) / M)
        shift = 5 * CHERNOFF * (2 * noise / c) ** (2 / 3)
        tol = [shift / f(ends[0]) + se_quantile(low, f(ends[0])), shift / f(ends[1]) + se_quantile(low + 0.95, f(ends[1]))]

    mc(f"comparison loss, x1 = {x1:.3f}", "sum_of_squares", quantities, ["mean", "sd", "shortest_low", "shortest_high"],
       [mean, u, *ends], [se_mean(u), se_sd(u, mu4), *tol], "closed_form",
       "noncentral chi-square with 2 degrees of freedom; JCGM 101:2008, 9.4 (no correlation)", FIVE, unit="1e-6",
       call=f"scipy.stats.ncx2(2, (x1/0.005)**2), {V}")
    printed = {0.0: (50, 50, 0, 150), 0.010: (150, 112, 0, 367), 0.050: (2551, 502, 1590, 3543)}[x1]
    mc(f"comparison loss, x1 = {x1:.3f}, as printed", "sum_of_squares", quantities, ["mean", "sd", "shortest_low", "shortest_high"],
       list(printed), [0.5 + se_mean(u) * 1.42, 0.5 + se_sd(u, mu4) * 1.42, 0.5 + 1.42 * tol[0], 0.5 + 1.42 * tol[1]], "published",
       "JCGM 101:2008, 9.4, table of the uncorrelated case, MCM rows (from memory)",
       "half a unit of the last printed figure, and 5 standard errors of both samplings (the printed one is taken to have 1e6 draws too)", unit="1e-6")
    if x1:
        linear = {0.010: (-96, 296), 0.050: (1520, 3480)}[x1]
        mc(f"comparison loss, x1 = {x1:.3f}, is not what the linear law says", "sum_of_squares", quantities,
           ["shortest_low", "shortest_high"], list(linear), [0.5 + t for t in tol], "published",
           "JCGM 101:2008, 9.4, rows GUF first order (from memory)", "must differ by more than rounding and " + FIVE, unit="1e-6", must_differ=True)
    p = 0.95
    mc(f"comparison loss, x1 = {x1:.3f}, through the sketch of quantiles", "sum_of_squares", quantities, ["sketch0.5", "sketch0.95"],
       [Q(0.5), Q(p)], [Q(0.5) / 128 + se_quantile(0.5, f(Q(0.5))), Q(p) / 128 + se_quantile(p, f(Q(p)))], "closed_form",
       "noncentral chi-square with 2 degrees of freedom", "the sketch's stated relative error of 1/128, and " + FIVE, unit="1e-6",
       call=f"scipy.stats.ncx2(2, (x1/0.005)**2).ppf, {V}")
z = stats.norm(0, 2)
mc("magnitude of a sum of four normals, through the sketch of quantiles", "sum", four_normal, ["sketch0.5", "sketch0.95"],
   [z.ppf(0.75), z.ppf(0.975)], [z.ppf(0.75) / 128 + se_quantile(0.5, 2 * z.pdf(z.ppf(0.75))), z.ppf(0.975) / 128 + se_quantile(0.95, 2 * z.pdf(z.ppf(0.975)))],
   "closed_form", "half-normal; JCGM 101:2008, 9.2.2", "the sketch's stated relative error of 1/128, and " + FIVE)

# --- a skewed output ---------------------------------------------------------------------------------------------------
x = [uniform(0.6, 0.5)]
a, b = 0.1, 1.1
moment = lambda n, c: integrate.quad(lambda v: (np.log(v) - c) ** n, a, b, epsabs=1e-14)[0]
mean = moment(1, 0)
u, mu4 = np.sqrt(moment(2, mean)), moment(4, mean)
low, high = np.log(a + 0.05), np.log(b)
t_low = se_quantile(0.05, a + 0.05)
top = np.log(b) - np.log(b - 5 * np.sqrt(0.95 * 0.05 / M))
mc("logarithm of a rectangular quantity", "log", x, ["mean", "sd", "shortest_low", "shortest_high"], [mean, u, low, high],
   [se_mean(u), se_sd(u, mu4), t_low + top, top], "closed_form", "density e^y on [ln 0.1, ln 1.1]: the shortest interval is the upper 95 %", FIVE)
mc("logarithm of a rectangular quantity, as printed", "log", x, ["mean", "sd", "shortest_low", "shortest_high"],
   [-0.665, 0.606, -1.895, 0.095], [0.0005 + se_mean(u), 0.0005 + se_sd(u, mu4), 0.0005 + 1.42 * (t_low + top), 0.0005 + top], "published",
   "NPL report DEM-ES-011, 9.2", "half a unit of the last printed figure, and 5 standard errors of both samplings")
mc("logarithm of a rectangular quantity is not what the linear law says", "log", x, ["mean", "sd", "shortest_high"], [-0.511, 0.481, 0.432],
   [0.0005 + se_mean(u), 0.0005 + se_sd(u, mu4), 0.0005 + top], "published", "NPL report DEM-ES-011, 9.2, linear law",
   "must differ by more than rounding and " + FIVE, must_differ=True)

# --- moments and quantiles of each form --------------------------------------------------------------------------------
for form, divisor, clause in (("uniform", 3, "6.4.2: (b - a)^2/12"), ("triangular", 6, "6.4.5: (b - a)^2/24"), ("arcsine", 2, "6.4.6: (b - a)^2/8")):
    d = {"form": form, "mean": 1.5, "half_width": 0.8}
    u = 0.8 / np.sqrt(divisor)
    kurtosis = {"uniform": 1.8, "triangular": 2.4, "arcsine": 1.5}[form]
    rows.add(f"mean and standard deviation, {form}", "distribution_moments", "published", f"JCGM 101:2008, {clause} (clause from memory)", "1", 1e-14,
             "double precision", d, [1.5, u])
    mc(f"sampled mean and standard deviation, {form}", "sum", [d], ["mean", "sd"], [1.5, u], [se_mean(u), se_sd(u, kurtosis * u**4)],
       "closed_form", f"JCGM 101:2008, {clause}", FIVE)
P = [1e-9, 0.001, 0.025, 0.3, 0.5, 0.77, 0.975, 0.999]
FORMS = [
    ("normal", normal(0.4, 1.7), stats.norm(0.4, 1.7)), ("uniform", uniform(-1, 0.5), stats.uniform(-1.5, 1)),
    ("triangular", {"form": "triangular", "mean": 0.3, "half_width": 0.7}, stats.triang(0.5, -0.4, 1.4)),
    ("arcsine", {"form": "arcsine", "mean": 0.2, "half_width": 2.0}, stats.arcsine(-1.8, 4.0)),
    ("lognormal", {"form": "lognormal", "median": 1.2, "sd_log": 0.3}, stats.lognorm(0.3, 0, 1.2)),
    ("truncated normal", {"form": "truncated_normal", "mean": 2.0, "sd": 1.0, "half_width": 0.8}, stats.truncnorm(-0.8, 0.8, 2.0, 1.0)),
    ("truncated normal, wide", {"form": "truncated_normal", "mean": 3.5, "sd": 0.7, "half_width": 1.5}, stats.truncnorm(-1.5 / 0.7, 1.5 / 0.7, 3.5, 0.7)),
]
for name, d, ref in FORMS:
    rows.add(f"quantiles, {name}", "distribution_quantiles", "other_program", "scipy.stats", "1", 1e-9,
             "the other program's own quantiles are good to about 1e-10", {**d, "at": P}, ref.ppf(P), f"scipy.stats ...ppf, {V}")
    xs = ref.ppf([0.01, 0.2, 0.6, 0.9])
    rows.add(f"cumulative, {name}", "distribution_cumulative", "other_program", "scipy.stats", "1", 1e-10, "double precision",
             {**d, "at": xs}, ref.cdf(xs), f"scipy.stats ...cdf, {V}")
    rows.add(f"density, {name}", "distribution_density", "other_program", "scipy.stats", "1", 1e-9, "double precision",
             {**d, "at": xs}, ref.pdf(xs), f"scipy.stats ...pdf, {V}")
    rows.add(f"moments, {name}", "distribution_moments", "other_program", "scipy.stats", "1", 1e-9, "double precision", d,
             [ref.mean(), ref.std()], f"scipy.stats ...mean, ...std, {V}")
for u, x in ((0.25, -0.6744897501960817), (0.001, -3.090232306167814), (1e-20, -9.262340089798408)):
    rows.add(f"normal quantile at {u}", "normal_quantile", "published", "M. J. Wichura, Applied Statistics 37 (1988) 477, values printed with the algorithm (from memory)",
             "1", 2e-15 * abs(x), "printed to 16 figures; the algorithm promises about 1e-16 relative", {"at": u}, x)
from scipy.special import ndtri, ndtr
at = [1e-300, 1e-100, 1e-16, 1e-5, 0.02425, 0.075, 0.425, 0.5000001, 0.9, 0.999999]
rows.add("normal quantiles over the whole range", "normal_quantiles", "other_program", "scipy.special.ndtri", "1", 1e-13,
         "two algorithms in double precision; far tails reach 40", {"at": at}, ndtri(at), f"scipy.special.ndtri, {V}")
at = [-37.0, -20.0, -5.0, -1.0, 0.3, 2.0, 3.5]
for v in at:
    rows.add(f"normal cumulative at {v}", "normal_cumulative", "other_program", "scipy.special.ndtr", "1", 1e-13 * ndtr(v),
             "relative 1e-13, in the far tail too", {"at": v}, ndtr(v), f"scipy.special.ndtr, {V}")

# --- uniform over a disc -----------------------------------------------------------------------------------------------
R = 2.5
n = M
var_r2 = R**4 / 12
rows.add("uniform over a disc", "disc", "closed_form", "elementary: r = R sqrt(u)", "1",
         [5 * R * np.sqrt(1 / 18 / n), 5 * R**2 / np.sqrt(12 * n), se_quantile(0.95, 2 * np.sqrt(0.95) / R), 5 * np.sqrt((R**4 / 8 - R**4 / 16) / n),
          5 * np.sqrt((R**4 / 8 - R**4 / 16) / n), 5 * R * np.sqrt((1 - 0.9054147874**2) / (n / 2))],
         f"5 standard errors at {M} draws: var r = R^2/18, var r^2 = R^4/12, quantile 5 sqrt(p(1-p)/M)/f, E x^4 = R^4/8, E distance^2 = R^2 over M/2 pairs",
         {"radius": R, "draws": M, "seed": 20260102},
         [2 * R / 3, R**2 / 2, R * np.sqrt(0.95), R**2 / 4, R**2 / 4, R * 128 / (45 * np.pi)])
rows.write("sampling.toml")

# --- intervals of a share ----------------------------------------------------------------------------------------------
rows = Rows("make_sampling.py", "intervals of a share")
NEW = "R. G. Newcombe, Statistics in Medicine 17 (1998) 857, table I (from memory)"
for k, n, w, e in ((81, 263, (0.2553, 0.3662), (0.2527, 0.3676)), (15, 148, (0.0624, 0.1605), (0.0578, 0.1617)),
                   (0, 20, (0.0, 0.1611), (0.0, 0.1684)), (1, 29, (0.0061, 0.1718), (0.0009, 0.1776))):
    for check, ends, word in (("wilson", w, "Wilson's score"), ("clopper_pearson", e, "exact")):
        rows.add(f"{k} of {n}, {word}", check, "published", NEW, "share", 5.1e-5, "half a unit of the fourth printed decimal",
                 {"passed": k, "trials": n, "level": 0.95}, list(ends))
rows.add("4 defectives among 20, 90 %", "clopper_pearson", "published", "NIST/SEMATECH e-Handbook 7.2.4.2, worked example: 0.071354, 0.401029 (digits from memory, recomputed)",
         "share", 1.5e-6, "printed to six decimals; the last is one off in the handbook's table look-up", {"passed": 4, "trials": 20, "level": 0.90}, [0.071354, 0.401029])
rows.add("20 of 100, R's binom.test", "clopper_pearson", "published", "R 3.6.2 binom.test(20, 100), quoted in SciPy's own tests", "share", 6e-11,
         "printed to ten figures", {"passed": 20, "trials": 100, "level": 0.95}, [0.1266555521, 0.2918426891])
rows.add("20 of 100, one-sided ends from R's binom.test", "clopper_pearson", "published",
         "R 3.6.2 binom.test(20, 100, alternative = less, greater): ends of the 90 % two-sided interval, quoted in SciPy's own tests", "share", 6e-11,
         "printed to ten figures", {"passed": 20, "trials": 100, "level": 0.90}, [0.1366613252, 0.2772002497])
for n in (1, 7, 59, 1000):
    for level in (0.90, 0.95, 0.99):
        t = (1 - level) / 2
        rows.add(f"none of {n}, level {level}", "clopper_pearson", "closed_form", "elementary: 1 - (alpha/2)^(1/n)", "share", 1e-12, "double precision",
                 {"passed": 0, "trials": n, "level": level}, [0.0, 1 - t ** (1 / n)])
        rows.add(f"all of {n}, level {level}", "clopper_pearson", "closed_form", "elementary: (alpha/2)^(1/n)", "share", 1e-12, "double precision",
                 {"passed": n, "trials": n, "level": level}, [t ** (1 / n), 1.0])
        z2 = stats.norm.ppf(0.5 + level / 2) ** 2
        rows.add(f"none of {n}, level {level}, Wilson", "wilson", "closed_form", "E. B. Wilson 1927 at p = 0: [0, z^2/(n + z^2)]", "share", 1e-14, "double precision",
                 {"passed": 0, "trials": n, "level": level}, [0.0, z2 / (n + z2)])
        rows.add(f"all of {n}, level {level}, Wilson", "wilson", "closed_form", "E. B. Wilson 1927 at p = 1: [n/(n + z^2), 1]", "share", 1e-14, "double precision",
                 {"passed": n, "trials": n, "level": level}, [n / (n + z2), 1.0])
for k, n, level in ((1, 10, 0.95), (5, 10, 0.95), (9, 10, 0.99), (59, 60, 0.95), (950, 1000, 0.95), (3, 4096, 0.95), (123456, 200000, 0.99), (199999, 200000, 0.95), (1, 1_000_000, 0.95)):
    test = stats.binomtest(k, n)
    for check, method in (("wilson", "wilson"), ("clopper_pearson", "exact")):
        ci = test.proportion_ci(level, method)
        rows.add(f"{k} of {n}, level {level}, {method}", check, "other_program", "scipy.stats.binomtest", "share", 1e-10,
                 "the beta quantile in use is good to about 1e-10 of a share", {"passed": k, "trials": n, "level": level}, [ci.low, ci.high],
                 f"scipy.stats.binomtest({k}, {n}).proportion_ci({level}, {method!r}), {V}")
    ci = stats.beta.ppf([(1 - level) / 2, (1 + level) / 2], [k, k + 1], [n - k + 1, n - k])
    rows.add(f"{k} of {n}, level {level}, by beta quantiles", "clopper_pearson", "other_program", "Clopper & Pearson 1934 in terms of beta quantiles", "share",
             1e-10, "the beta quantile in use is good to about 1e-10 of a share", {"passed": k, "trials": n, "level": level}, ci, f"scipy.stats.beta.ppf, {V}")
rows.write("intervals.toml")
