//! Photographs and marks files that mean harm, through the command line: each is told with its place, none panics, none
//! takes more memory than it may. May not enter: what a sound photograph is graded.

use crate::cli_status::{Answer, sunside};
use crate::judge_exif::{ascii, rationals, short, tiff, with_exif};
use crate::judge_take::{marks, marks_text, photograph_bytes, rehearsed};
use image::{DynamicImage, GrayImage, ImageFormat, RgbImage};
use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

pub const SCENE: &str = "scenes/open_siding.toml";

/// A folder with a sound photograph, its marks, and whatever a test puts beside.
pub struct Folder {
    dir: TempDir,
    pub jpeg: Vec<u8>,
    pub marks: String,
}

impl Folder {
    pub fn new() -> Folder {
        let mut made = None;
        rehearsed(|studio, stand, _| {
            let jpeg = photograph_bytes(studio, stand, true);
            let height_px = image::load_from_memory(&jpeg).unwrap().height();
            let marks = marks(studio, stand, f64::from(height_px));
            made = Some((jpeg, marks_text("placed_to_px = 0.01", &marks)));
        });
        let (jpeg, marks) = made.unwrap();
        Folder {
            dir: TempDir::new().unwrap(),
            jpeg,
            marks,
        }
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    /// Writes a photograph and, if wanted, the sound marks beside it.
    pub fn put(&self, name: &str, bytes: &[u8], marks: Option<&str>) -> String {
        let path = self.path(name);
        std::fs::write(&path, bytes).unwrap();
        if let Some(marks) = marks {
            std::fs::write(self.path(&format!("{name}.marks.toml")), marks).unwrap();
        }
        path.to_str().unwrap().to_string()
    }
}

pub fn judge(photo: &str) -> Answer {
    sunside(&["judge", photo, "--scene", SCENE])
}

fn encoded(picture: DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Vec::new();
    picture
        .write_to(&mut Cursor::new(&mut bytes), format)
        .unwrap();
    bytes
}

/// A PNG that claims a size which its few bytes cannot hold; its checksum (ISO 3309) is right.
fn claiming(png: &[u8], width: u32, height: u32) -> Vec<u8> {
    let mut huge = png.to_vec();
    huge[16..20].copy_from_slice(&width.to_be_bytes());
    huge[20..24].copy_from_slice(&height.to_be_bytes());
    let mut sum = u32::MAX;
    for byte in &huge[12..29] {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            sum = (sum >> 1) ^ (0xedb8_8320 * (sum & 1));
        }
    }
    huge[29..33].copy_from_slice(&(!sum).to_be_bytes());
    huge
}

#[test]
fn hostile_photographs_are_told_by_name_with_status_2() {
    let folder = Folder::new();
    let png = encoded(
        DynamicImage::ImageRgb8(RgbImage::new(30, 20)),
        ImageFormat::Png,
    );
    let cut = folder.jpeg[..300].to_vec();
    let cases: [(&str, Vec<u8>, &str); 9] = [
        ("empty.jpg", vec![], "neither JPEG, PNG nor TIFF"),
        (
            "words.jpg",
            b"this is not a picture".to_vec(),
            "neither JPEG, PNG nor TIFF",
        ),
        (
            "moving.gif",
            b"GIF89a\x01\0\x01\0\0\0\0;".to_vec(),
            "neither JPEG, PNG nor TIFF",
        ),
        ("cut.jpg", cut, "not a whole picture"),
        (
            "cut_late.jpg",
            folder.jpeg[..folder.jpeg.len() * 9 / 10].to_vec(),
            "ends before its picture does",
        ),
        (
            "half.png",
            png[..png.len() / 2].to_vec(),
            "not a whole picture",
        ),
        (
            "bomb.png",
            claiming(&png, 29_000, 29_000),
            "200 million or fewer allowed",
        ),
        (
            "endless.png",
            claiming(&png, 0x7fff_ffff, 0x7fff_ffff),
            "not a whole picture",
        ),
        (
            "looped.tif",
            b"II*\0\x08\0\0\0\0\0\x08\0\0\0".to_vec(),
            "not a whole picture",
        ),
    ];
    for (name, bytes, wanted) in cases {
        let answer = judge(&folder.put(name, &bytes, Some(&folder.marks)));
        assert_eq!(answer.status, 2, "{name}: {}", answer.err);
        let told = answer.err.replace(['\n', '│'], " ");
        let words = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains(name), "{name}: {words}");
        assert!(words.contains(wanted), "{name}: {words}");
    }
    let missing = judge(folder.path("missing.jpg").to_str().unwrap());
    assert!(
        missing.status == 2 && missing.err.contains("missing.jpg"),
        "{}",
        missing.err
    );
    let is_folder = judge(folder.dir.path().to_str().unwrap());
    assert!(
        is_folder.status == 2 && is_folder.err.contains("not a file"),
        "{}",
        is_folder.err
    );
}

#[test]
fn odd_but_whole_photographs_are_opened() {
    let folder = Folder::new();
    let gray = encoded(
        DynamicImage::ImageLuma8(GrayImage::new(60, 40)),
        ImageFormat::Jpeg,
    );
    let deep = DynamicImage::ImageRgb8(RgbImage::new(60, 40)).into_rgba16();
    let deep = encoded(DynamicImage::ImageRgba16(deep), ImageFormat::Png);
    let tiffs = encoded(
        DynamicImage::ImageRgb8(RgbImage::new(60, 40)),
        ImageFormat::Tiff,
    );
    // Tags that lie: no such date, no such offset, a zero for the lens, a position beyond the pole.
    let lies = tiff(
        &[short(0x0112, 99)],
        &[
            ascii(0x9003, "2027:13:45 99:99:99"),
            ascii(0x9011, "+99:99"),
            rationals(0x829a, &[(1, 0)]),
            rationals(0x829d, &[(0, 0)]),
            rationals(0x920a, &[(u32::MAX, 1)]),
        ],
        &[
            ascii(1, "N"),
            rationals(2, &[(u32::MAX, 1), (0, 0), (0, 1)]),
            ascii(3, "E"),
            rationals(4, &[(1, 1), (0, 1), (0, 1)]),
        ],
    );
    let cases = [
        ("gray.jpg", gray),
        ("deep.png", deep),
        (
            "png_inside.jpg",
            encoded(
                DynamicImage::ImageRgb8(RgbImage::new(60, 40)),
                ImageFormat::Png,
            ),
        ),
        ("whole.tif", tiffs),
        ("lies.jpg", with_exif(&folder.jpeg, &lies)),
        // Four inks, as printers have it (Pillow, `judge_fixtures.py`).
        (
            "inks.jpg",
            std::fs::read("tests/reference/inks.jpg").unwrap(),
        ),
    ];
    for (name, bytes) in cases {
        // Without marks: told, not judged.
        let answer = judge(&folder.put(name, &bytes, None));
        assert_eq!(answer.status, 1, "{name}: {}", answer.err);
        for wanted in [
            "Not judged: no points are marked",
            "taken: unknown",
            "focal length: unknown",
        ] {
            assert!(answer.out.contains(wanted), "{name}: {}", answer.out);
        }
    }
}

/// Asked as somebody who may not read: whoever may read everything asks as nobody.
#[cfg(unix)]
#[test]
fn what_may_not_be_read_is_told_by_name() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    use std::os::unix::process::CommandExt;
    let folder = Folder::new();
    let photo = folder.put("locked.jpg", &folder.jpeg, Some(&folder.marks));
    let lock = |path: &Path, mode: u32| {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
    };
    lock(folder.dir.path(), 0o755);
    let own = std::fs::metadata(&photo).unwrap().uid();
    let program = assert_cmd::cargo::cargo_bin("sunside");
    let ask = || {
        let mut command = Command::new(&program);
        command.args(["judge", &photo, "--scene", SCENE, "--rasterizer", "cpu"]);
        if own == 0 {
            command.uid(65534).gid(65534);
        }
        let output = command.output().unwrap();
        let told = String::from_utf8(output.stderr).unwrap();
        assert!(!told.contains("panicked"), "{told}");
        (output.status.code(), told.replace(['\n', '│', ' '], ""))
    };
    // The frame is judged: lost, as it was exposed.
    assert_eq!(ask().0, Some(1), "{}", ask().1);
    for locked in [photo.clone(), format!("{photo}.marks.toml")] {
        lock(Path::new(&locked), 0o000);
        let (status, told) = ask();
        lock(Path::new(&locked), 0o644);
        assert_eq!(status, Some(2), "{told}");
        let name = locked.rsplit('/').next().unwrap();
        assert!(
            told.contains(name) && told.contains("Permissiondenied"),
            "{told}"
        );
    }
}

/// Where the system can hold a process to its address space: two pictures of 50 million pixels of one colour in a few
/// kilobytes, one refused, one opened, within three gigabytes.
#[cfg(target_os = "linux")]
#[test]
fn a_picture_that_swells_stays_within_bounded_memory() {
    let folder = Folder::new();
    let large = encoded(
        DynamicImage::ImageLuma8(GrayImage::new(13_000, 15_000)),
        ImageFormat::Png,
    );
    assert!(large.len() < 2_000_000);
    let photo = folder.put("swells.png", &large, None);
    let bomb = folder.put("bomb.png", &claiming(&large, 29_999, 29_999), None);
    let program = assert_cmd::cargo::cargo_bin("sunside");
    let output = Command::new("sh")
        .args(["-c", "ulimit -v 3000000; exec \"$@\"", "sh"])
        .arg(program)
        .args([
            "judge",
            &photo,
            &bomb,
            "--scene",
            SCENE,
            "--rasterizer",
            "cpu",
        ])
        .output()
        .unwrap();
    let told = String::from_utf8(output.stdout).unwrap();
    assert_eq!(
        output.status.code(),
        Some(1),
        "{told}{:?}",
        String::from_utf8(output.stderr)
    );
    assert!(
        told.contains("not judged") && told.contains("200 million or fewer"),
        "{told}"
    );
    assert_eq!(std::fs::read(&photo).unwrap(), large);
}
