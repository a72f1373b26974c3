//! The one adapter that all picture tests share. May not enter: what is drawn on it.

use std::sync::{Mutex, MutexGuard, OnceLock, PoisonError};
use sunside::picture::lit::Lit;

/// The adapter; none where `SUNSIDE_NO_GPU=1` says that none is expected. Without it and without an adapter the test
/// fails.
pub fn lit() -> Option<MutexGuard<'static, Lit>> {
    static LIT: OnceLock<Mutex<Lit>> = OnceLock::new();
    if std::env::var("SUNSIDE_NO_GPU").is_ok_and(|value| value == "1") {
        return None;
    }
    let open = || {
        Mutex::new(Lit::open().expect("an adapter; SUNSIDE_NO_GPU=1 says that none is expected"))
    };
    Some(
        LIT.get_or_init(open)
            .lock()
            .unwrap_or_else(PoisonError::into_inner),
    )
}
