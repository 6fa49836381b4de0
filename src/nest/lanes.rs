//! Eight numbers at a time, written so that the compiler turns them into vector instructions.

/// Numbers handled at once: the width of an AVX register in single precision.
pub const LANES: usize = 8;

/// Combines all lanes by halves, as vector instructions do. `f` must not care about order.
#[inline(always)]
pub fn fold<T: Copy>(v: [T; LANES], f: impl Fn(T, T) -> T) -> T {
    let a = [f(v[0], v[4]), f(v[1], v[5]), f(v[2], v[6]), f(v[3], v[7])];
    let b = [f(a[0], a[2]), f(a[1], a[3])];
    f(b[0], b[1])
}
