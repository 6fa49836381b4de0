//! Roots of functions of one variable.

/// The root in [0, 1] of a function that is below zero before it and not below zero after it.
pub fn bisect(f: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    // 60 halvings exhaust the digits of an f64 on [0, 1].
    for _ in 0..60 {
        let mid = 0.5 * (low + high);
        if mid <= low || mid >= high {
            break;
        }
        if f(mid) < 0.0 { low = mid } else { high = mid }
    }
    0.5 * (low + high)
}

/// The root at or above `from` (above zero) of a function that is not above zero at `from`,
/// or `None` when it has no sign change within [`FARTHEST`] times `from` or has no value.
///
/// Bracketing by doubling, then regula falsi with the Illinois rule (Dowell and Jarratt, *A
/// modified regula falsi method for computing the root of an equation*, BIT 11, 1971).
pub fn root_above(from: f64, f: impl Fn(f64) -> Option<f64>) -> Option<f64> {
    let (mut a, mut fa) = (from, f(from)?);
    if fa >= 0.0 {
        return Some(from);
    }
    let (mut b, mut fb) = (a, fa);
    while fb < 0.0 {
        b *= 2.0;
        if b > FARTHEST * from {
            return None;
        }
        fb = f(b)?;
    }
    // Converges in about ten steps; sixty is where bisection alone would end too.
    for _ in 0..60 {
        let c = (a * fb - b * fa) / (fb - fa);
        let fc = f(c)?;
        if fc == 0.0 || (b - a).abs() <= 1e-15 * c.abs() {
            return Some(c);
        }
        if (fc > 0.0) == (fb > 0.0) {
            fa *= 0.5;
        } else {
            (a, fa) = (b, fb);
        }
        (b, fb) = (c, fc);
    }
    Some(b)
}

/// How far [`root_above`] looks: a sharp nose a thousand times as long as what is left of it is
/// a cylinder for all that can be cut.
const FARTHEST: f64 = 1024.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn roots_are_found_to_the_last_digits() {
        assert!((bisect(|x| x * x - 0.5) - 0.5_f64.sqrt()).abs() < 1e-15);
        let r = root_above(1.0, |x| Some(x * x * x - 100.0)).unwrap();
        assert!((r - libm::cbrt(100.0)).abs() < 1e-13);
        assert_eq!(root_above(1.0, |x| Some(-1.0 / x)), None);
        assert_eq!(root_above(1.0, |_| None), None);
    }
}
