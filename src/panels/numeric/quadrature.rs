//! Adaptive numerical integration.
//!
//! Gauss-Kronrod pair of 7 and 15 points, halved where the two disagree. Nodes and weights:
//! Piessens, de Doncker-Kapenga, Überhuber, Kahaner, *QUADPACK*, Springer 1983, rule `qk15`.

/// Nodes of the 15-point rule on [0, 1] of the half interval, outermost first; odd places and the
/// middle belong to the 7-point rule too.
const NODES: [f64; 7] = [
    0.991_455_371_120_812_6,
    0.949_107_912_342_758_5,
    0.864_864_423_359_769_1,
    0.741_531_185_599_394_5,
    0.586_087_235_467_691_1,
    0.405_845_151_377_397_2,
    0.207_784_955_007_898_47,
];

/// Weights of the 15-point rule at [`NODES`].
const KRONROD: [f64; 7] = [
    0.022_935_322_010_529_224,
    0.063_092_092_629_978_55,
    0.104_790_010_322_250_18,
    0.140_653_259_715_525_92,
    0.169_004_726_639_267_9,
    0.190_350_578_064_785_4,
    0.204_432_940_075_298_9,
];

/// Weight of the 15-point rule in the middle.
const KRONROD_MIDDLE: f64 = 0.209_482_141_084_727_82;

/// Weights of the 7-point rule at every second of [`NODES`].
const GAUSS: [f64; 3] = [0.129_484_966_168_869_7, 0.279_705_391_489_276_64, 0.381_830_050_505_118_9];

/// Weight of the 7-point rule in the middle.
const GAUSS_MIDDLE: f64 = 0.417_959_183_673_469_4;

/// Disagreement of the two rules at which a piece is accepted, as a share of the whole integral.
/// The 15-point value is then better by several more digits, so results hold to about 1e-12.
const AGREEMENT: f64 = 1e-9;

/// How often an interval may be halved. Integrands here are bounded, so 2^-40 of the
/// interval contributes nothing that could be measured; it only ends the search.
const MAX_DEPTH: u32 = 40;

/// The integral of `f` from `a` to `b`. `f` must be bounded; it is never evaluated at the ends.
pub fn integrate(f: &impl Fn(f64) -> f64, a: f64, b: f64) -> f64 {
    let whole = pair(f, a, b);
    let accept = AGREEMENT * whole.magnitude;
    refine(f, a, b, whole, accept, MAX_DEPTH)
}

/// What both rules say about one interval.
#[derive(Clone, Copy)]
struct Estimate {
    fine: f64,
    coarse: f64,
    /// Integral of |f|, to measure disagreement against.
    magnitude: f64,
}

fn refine(f: &impl Fn(f64) -> f64, a: f64, b: f64, here: Estimate, accept: f64, depth: u32) -> f64 {
    // Written so that a value that is no number ends the search too.
    let disagrees = (here.fine - here.coarse).abs() > accept;
    if depth == 0 || !disagrees {
        return here.fine;
    }
    let m = 0.5 * (a + b);
    refine(f, a, m, pair(f, a, m), 0.5 * accept, depth - 1)
        + refine(f, m, b, pair(f, m, b), 0.5 * accept, depth - 1)
}

fn pair(f: &impl Fn(f64) -> f64, a: f64, b: f64) -> Estimate {
    let (mid, half) = (0.5 * (a + b), 0.5 * (b - a));
    let centre = f(mid);
    let mut fine = KRONROD_MIDDLE * centre;
    let mut coarse = GAUSS_MIDDLE * centre;
    let mut magnitude = KRONROD_MIDDLE * centre.abs();
    for (i, node) in NODES.iter().enumerate() {
        let (low, high) = (f(mid - half * node), f(mid + half * node));
        fine += KRONROD[i] * (low + high);
        magnitude += KRONROD[i] * (low.abs() + high.abs());
        if i % 2 == 1 {
            coarse += GAUSS[i / 2] * (low + high);
        }
    }
    Estimate { fine: fine * half, coarse: coarse * half, magnitude: (magnitude * half).abs() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fifteen_points_are_exact_for_polynomials_of_degree_22() {
        // Degree of exactness of the Kronrod extension of a 7-point rule: 3 x 7 + 1 = 22.
        for degree in 0..=22_u32 {
            let p = pair(&|x: f64| libm::pow(x, f64::from(degree)), 0.0, 1.0);
            let exact = 1.0 / f64::from(degree + 1);
            assert!((p.fine - exact).abs() < 2e-15, "degree {degree}: {} for {exact}", p.fine);
        }
        for degree in 0..=13_u32 {
            let p = pair(&|x: f64| libm::pow(x, f64::from(degree)), 0.0, 1.0);
            assert!((p.coarse - 1.0 / f64::from(degree + 1)).abs() < 2e-15);
        }
    }

    #[test]
    fn square_and_cube_roots_and_peaks_are_resolved() {
        assert!((integrate(&|x: f64| x.sqrt(), 0.0, 1.0) - 2.0 / 3.0).abs() < 1e-11);
        assert!((integrate(&|x: f64| libm::cbrt(x), 0.0, 1.0) - 0.75).abs() < 1e-11);
        let peak = integrate(&|x: f64| 1.0 / (1e-4 + x * x), -1.0, 1.0);
        assert!((peak - 200.0 * libm::atan(100.0)).abs() < 1e-9);
    }

    #[test]
    fn a_function_that_is_no_number_ends() {
        assert!(integrate(&|_| f64::NAN, 0.0, 1.0).is_nan());
    }
}
