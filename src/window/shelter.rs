//! What keeps winit from ending the program: a scale that is none is refused before, a panic over a display that is gone
//! becomes an error. May not enter: events, what the window shows.

use super::shell::WindowError;
use std::ffi::OsStr;
use std::panic::AssertUnwindSafe;
use std::sync::Arc;

/// Names a scale of the window under X11; winit reads it.
pub(super) const SCALE_VARIABLE: &str = "WINIT_X11_SCALE_FACTOR";

/// Refuses what would be no scale: winit ends the program over it.
pub(super) fn check_scale(told: Option<&OsStr>) -> Result<(), WindowError> {
    let Some(told) = told.filter(|told| !told.is_empty()) else {
        return Ok(());
    };
    let text = told.to_string_lossy();
    let scale = text.parse::<f64>().ok();
    let sound = scale.is_some_and(|scale| (0.25..=8.0).contains(&scale));
    match sound || text.eq_ignore_ascii_case("randr") {
        true => Ok(()),
        false => Err(WindowError::Scale(text.into_owned())),
    }
}

/// An error of the system without the place in a library's source where it arose.
pub(super) fn essence(error: &str) -> String {
    let rest = error.strip_prefix("os error at ");
    let rest = rest.and_then(|rest| rest.split_once(": "));
    rest.map_or(error, |(_, rest)| rest).to_string()
}

/// Runs the window; winit panics where a display is gone: then what it said is an error, and nothing is printed. A
/// panic from anywhere else is told in full as well, since it is a fault of ours.
pub(super) fn sheltered<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    let here = std::thread::current().id();
    let usual = Arc::new(std::panic::take_hook());
    let others = Arc::clone(&usual);
    std::panic::set_hook(Box::new(move |panic| {
        let of_winit = panic
            .location()
            .is_some_and(|at| at.file().contains("winit"));
        if !of_winit || std::thread::current().id() != here {
            others(panic);
        }
    }));
    let done = std::panic::catch_unwind(AssertUnwindSafe(work));
    std::panic::set_hook(Box::new(move |panic| usual(panic)));
    done.map_err(|panic| {
        let text = panic.downcast_ref::<String>().map(String::as_str);
        let text = text.or(panic.downcast_ref::<&str>().copied());
        let text = text.unwrap_or("no reason was told");
        text.lines().next().unwrap_or_default().to_string()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_that_is_none_is_refused_in_a_sentence() {
        for sound in ["", "1", "2.5", "0.25", "8", "randr"] {
            assert!(check_scale(Some(OsStr::new(sound))).is_ok(), "{sound}");
        }
        for bad in ["nan", "inf", "50", "0", "-1", "two"] {
            let error = check_scale(Some(OsStr::new(bad))).unwrap_err().to_string();
            assert!(
                error.contains(bad) && error.contains("0.25 to 8"),
                "{error}"
            );
        }
        assert!(check_scale(None).is_ok());
    }

    #[test]
    fn an_error_of_the_system_names_no_source_file() {
        let told = "os error at /somewhere/winit/mod.rs:765: neither display is set";
        assert_eq!(essence(told), "neither display is set");
        assert_eq!(essence("Exit Failure: 1"), "Exit Failure: 1");
    }

    #[test]
    fn a_panic_of_the_window_is_an_error_with_its_reason() {
        let broke: Result<(), String> = sheltered(|| panic!("Failed to set {}\nmore", "title"));
        assert_eq!(broke, Err("Failed to set title".into()));
        assert_eq!(sheltered(|| 3), Ok(3));
    }
}
