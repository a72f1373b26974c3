//! Looking ahead: what is asked one by one until something ends it, asked a few at a time on all threads.
//! May not enter: what is asked.

use super::request::Cancelled;
use rayon::prelude::*;

/// So many are looked at beyond the one that ends it, at most, unless told otherwise.
pub(super) const AHEAD: usize = 8;

/// Looks at items, `ahead` of them side by side, and takes what was seen in their order until `take` says that it is
/// enough. The number is fixed by who asks, so that one thread does the same work as many.
pub(super) fn look_ahead<I: Send, T: Send>(
    ahead: usize,
    mut items: impl Iterator<Item = I>,
    look: impl Fn(I) -> T + Sync,
    mut take: impl FnMut(T) -> Result<bool, Cancelled>,
) -> Result<(), Cancelled> {
    loop {
        let next: Vec<I> = items.by_ref().take(ahead).collect();
        if next.is_empty() {
            return Ok(());
        }
        let seen: Vec<T> = next.into_par_iter().map(&look).collect();
        for one in seen {
            if !take(one)? {
                return Ok(());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn things_are_taken_in_order_until_it_is_enough_and_few_are_looked_at_in_vain() {
        let looked = AtomicUsize::new(0);
        let look = |i: usize| {
            looked.fetch_add(1, Ordering::Relaxed);
            i * i
        };
        let mut taken = Vec::new();
        let enough = look_ahead(AHEAD, 0..1000, look, |square| {
            taken.push(square);
            Ok(square < 100)
        });
        assert_eq!(enough, Ok(()));
        assert_eq!(taken, (0..=10).map(|i| i * i).collect::<Vec<usize>>());
        assert!(looked.load(Ordering::Relaxed) <= 11 + AHEAD);
        let mut all = 0;
        let count = |_| {
            all += 1;
            Ok(true)
        };
        assert_eq!(look_ahead(AHEAD, 0..21, |i| i, count), Ok(()));
        assert_eq!(all, 21);
        assert_eq!(
            look_ahead(AHEAD, 0..3, |i| i, |_| Err(Cancelled)),
            Err(Cancelled)
        );
    }
}
