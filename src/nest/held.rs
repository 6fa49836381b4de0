//! A no-fit polygon in the hands of whoever asked for it: kept by the pairs, or lent where they have no room left.
//!
//! What is lent lives in a small store of each thread, which is emptied whenever it is full. A search that
//! comes to that is slow; it finds the same as one with room.

use super::nfp::Nfp;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::ops::Deref;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

/// A no-fit polygon, for a moment.
#[derive(Debug, Clone)]
pub enum Held<'a> {
    /// It stays where it is.
    Kept(&'a Nfp),
    /// It goes when nobody holds it any more.
    Lent(Arc<Nfp>),
}

impl Deref for Held<'_> {
    type Target = Nfp;

    #[inline(always)]
    fn deref(&self) -> &Nfp {
        match self {
            Self::Kept(nfp) => nfp,
            Self::Lent(nfp) => nfp,
        }
    }
}

/// Who lends, and the number of the polygon with him.
type Key = (usize, usize);

/// Bytes lent by one thread: some thousand polygons.
const MOST_LENT: usize = 8 << 20;

#[derive(Default)]
struct Store {
    bytes: usize,
    lent: BTreeMap<Key, Arc<Nfp>>,
}

thread_local! {
    static STORE: RefCell<Store> = RefCell::default();
}

/// A name for one who lends, different from all others.
pub fn owner() -> usize {
    static NEXT: AtomicUsize = AtomicUsize::new(0);
    NEXT.fetch_add(1, Ordering::Relaxed)
}

/// The polygon of this key, made now unless this thread still has it.
pub fn lend(key: Key, new: impl FnOnce() -> Nfp) -> Arc<Nfp> {
    if let Some(nfp) = STORE.with_borrow(|s| s.lent.get(&key).cloned()) {
        return nfp;
    }
    let nfp = Arc::new(new());
    STORE.with_borrow_mut(|store| {
        if store.bytes > MOST_LENT {
            *store = Store::default();
        }
        store.bytes += size(&nfp);
        store.lent.insert(key, nfp.clone());
    });
    nfp
}

/// Bytes per corner of a no-fit polygon: two doubles, and eight floats of its side.
const PER_CORNER: usize = 48;
/// Bytes it takes besides: the last block of sides is filled up, and every list has a head.
const BESIDE: usize = 320;

/// About how many bytes a no-fit polygon takes.
pub fn size(nfp: &Nfp) -> usize {
    nfp.contours().iter().map(|c| PER_CORNER * c.len() + 24).sum::<usize>() + BESIDE
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{job_of, rectangle};
    use crate::nest::instance::Instance;
    use crate::nest::request::request;
    use crate::nest::{Effort, Limit, search};

    fn instance() -> Instance {
        let panels =
            (0..7).map(|k| rectangle(&format!("p{k}"), 11.0 + f64::from(k), 31.0 - 2.0 * f64::from(k)));
        request(&job_of(60.0, panels.collect())).unwrap().instance
    }

    /// A search finds the same layout when little of what it asks for can be kept, or nothing at all.
    #[test]
    fn no_more_is_kept_than_there_is_room_for_and_the_result_is_the_same() {
        let found = |inst: &Instance| {
            let effort = Effort::new(1, Limit::Rounds(1));
            search::search(inst, &effort, 0.0, std::time::Instant::now(), &mut |_| true).best.spots
        };
        let roomy = instance();
        let spots = found(&roomy);
        assert!(roomy.kept() > 100_000, "{}", roomy.kept());
        for room in [0, 50_000] {
            let narrow = instance().with_room(room);
            assert_eq!(found(&narrow), spots);
            // Each thread may be about to keep one when the room is gone.
            assert!(narrow.kept() <= room + 1000 * rayon::current_num_threads(), "{}", narrow.kept());
        }
    }

    #[test]
    fn a_thread_lends_no_more_than_it_may() {
        let square = |x: f64| {
            let corner = |x, y| crate::shape::Point { x, y };
            Nfp::new(vec![vec![corner(0.0, 0.0), corner(x, 0.0), corner(x, x), corner(0.0, x)]], 0.0)
        };
        let owner = owner();
        for k in 0..40_000 {
            lend((owner, k), || square(1.0 + k as f64));
        }
        STORE.with_borrow(|s| {
            assert!(s.bytes <= MOST_LENT + size(&square(1.0)) && !s.lent.is_empty());
            assert_eq!(s.bytes, s.lent.values().map(|n| size(n)).sum::<usize>());
        });
        // Another's of the same number is another.
        assert_eq!(lend((owner, 39_999), || square(0.0)).contours()[0][2].x, 40_000.0);
        assert_eq!(lend((super::owner(), 39_999), || square(2.0)).contours()[0][2].x, 2.0);
    }
}
