//! Who paints: the adapter, the processor, or the adapter or nobody; and what is said when it comes otherwise. May not
//! enter: what the picture shows.

use assert_cmd::Command;
use std::path::Path;

/// Status, standard error in one line, and whether the picture was written.
fn paint(who: &str, folder: &Path, environment: &[(&str, &str)]) -> (i32, String, bool) {
    let picture = folder.join(format!("{who}.png"));
    let mut command = Command::cargo_bin("sunside").unwrap();
    command.args(["grade", "scenes/open_siding.toml", "--picture-width", "96"]);
    command.args(["--rasterizer", "cpu", "--painter", who, "--picture"]);
    let output = command
        .arg(&picture)
        .envs(environment.iter().copied())
        .output()
        .unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    (output.status.code().unwrap(), told, picture.exists())
}

/// Without a backend (this one is another system's) there is no adapter.
#[cfg(target_os = "linux")]
#[test]
fn without_an_adapter_the_processor_paints_and_says_so_or_nobody_does() {
    let folder = tempfile::tempdir().unwrap();
    let none = [("WGPU_BACKEND", "dx12"), ("NO_COLOR", "1")];
    let (status, told, written) = paint("auto", folder.path(), &none);
    assert_eq!((status, written), (0, true), "{told}");
    assert!(told.contains("No graphics adapter was found"), "{told}");
    assert!(
        told.contains("the processor drew the picture instead"),
        "{told}"
    );
    let (status, told, written) = paint("gpu", folder.path(), &none);
    assert_eq!((status, written), (2, false), "{told}");
    assert!(
        told.contains("--painter gpu: no graphics adapter was found"),
        "{told}"
    );
    let (status, told, written) = paint("cpu", folder.path(), &none);
    assert_eq!((status, written), (0, true), "{told}");
    assert!(!told.contains("adapter"), "{told}");
}

#[test]
fn with_an_adapter_nothing_is_said() {
    if crate::graphics::adapter().is_none() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    for who in ["auto", "gpu"] {
        let (status, told, written) = paint(who, folder.path(), &[]);
        assert_eq!((status, written), (0, true), "{told}");
        assert!(!told.contains("instead"), "{told}");
    }
}
