//! The sensor behind a photograph and the focal length on it, as far as a person or the tags tell them. May not enter:
//! marks, grades.

use super::exif::Told;
use super::marks::Given;
use super::photo::Photo;
use super::shot::{SAME_SHARE, alike};
use crate::camera::film::Film;
use crate::grade::Studio;

/// By what share a lens's focal length may be another than the one that is told of it, one standard deviation. Common
/// practice, from memory: ISO 517 lets what is engraved be off by 6 %, most lenses are off by one or two, and focusing
/// near shortens or lengthens them by as much.
pub const MARKED_SHARE: f64 = 0.015;

/// The standard deviation of what is rounded to whole millimetres: an even spread of one.
const ROUNDED_MM: f64 = 0.289;

/// What the picture was on the sensor, and what the lens.
pub(super) struct Optics {
    /// The picture's size on the sensor, if it is known.
    pub film: Told<Film>,
    /// That, or the film on which lengths are told where it is not.
    pub laid: Film,
    /// The focal length on it.
    pub focal_mm: Told<f64>,
    /// By what share of itself that may be off.
    pub focal_share: f64,
    /// What shows that the picture was cut.
    pub cut: Option<String>,
    /// Whether `laid` is the film of the tags' equivalent focal length.
    pub is_by_equivalent: bool,
}

impl Optics {
    /// Of a photograph, by what is said of it.
    pub(super) fn of(photo: &Photo, given: &Given, studio: &Studio) -> Optics {
        let [width_px, height_px] = photo.size_px();
        let shape = height_px / width_px;
        let said = &photo.said;
        let kit = studio.scene.kit.film;
        let equivalent_mm = &said.equivalent_mm;
        let own = (said.upright_film()).map(|film| nominal(film, kit));
        let rounded = |origin: &str| match (origin, equivalent_mm.value) {
            ("FocalLengthIn35mmFilm", Some(mm)) => MARKED_SHARE.hypot(ROUNDED_MM / mm),
            _ => MARKED_SHARE,
        };
        let by_tags = said.cut.clone();
        match (given.film, own, equivalent_mm.value) {
            (Some(film), ..) => {
                let other = own.filter(|own| !alike(own.width_mm, film.width_mm));
                let other = other.map(|own| {
                    let (width_mm, height_mm) = (own.width_mm, own.height_mm);
                    let origin = &said.sensor.origin;
                    format!("{origin} says {width_mm:.1} x {height_mm:.1} mm")
                });
                let laid = laid(film, shape);
                let cut = cut(&film, shape);
                let focal_mm = whole(&said.focal_mm, cut.as_ref());
                Optics {
                    film: Told::given(laid).doubted(cut.clone().or(other)),
                    cut: cut.or(by_tags),
                    is_by_equivalent: false,
                    laid,
                    focal_mm,
                    focal_share: MARKED_SHARE,
                }
            }
            (None, Some(film), _) => {
                let (laid, cut) = (laid(film, shape), cut(&film, shape));
                let focal_mm = whole(&said.focal_mm, cut.as_ref());
                let origin = said.sensor.origin.clone();
                let cut = cut.or_else(|| match origin.as_str() {
                    "FocalPlaneXResolution" => unusual(&film, kit),
                    _ => None,
                });
                Optics {
                    focal_share: rounded(&origin),
                    film: Told::from(laid, origin)
                        .doubted(cut.clone().or(said.sensor.doubt.clone())),
                    cut: cut.or(by_tags),
                    is_by_equivalent: false,
                    laid,
                    focal_mm,
                }
            }
            (None, None, Some(_)) => {
                let width_mm = Film::FULL.diagonal_mm() / 1.0_f64.hypot(shape);
                let laid = Film {
                    width_mm,
                    height_mm: width_mm * shape,
                };
                Optics {
                    film: untold(
                        laid,
                        given,
                        said.sensor.origin.as_str(),
                        "the tags' equivalent",
                    ),
                    laid,
                    focal_mm: equivalent_mm.clone(),
                    focal_share: rounded("FocalLengthIn35mmFilm"),
                    cut: by_tags,
                    is_by_equivalent: true,
                }
            }
            (None, None, None) => {
                let laid = laid(kit, shape);
                // Without a sensor a focal length in millimetres says nothing.
                let focal_mm = match said.focal_mm.value {
                    Some(mm) => Told::missing(format!(
                        "FocalLength says {mm} mm, but the sensor's size is not known"
                    )),
                    None => said.focal_mm.clone(),
                };
                Optics {
                    film: untold(laid, given, said.sensor.origin.as_str(), "the scene's kit"),
                    laid,
                    focal_mm,
                    focal_share: MARKED_SHARE,
                    cut: by_tags,
                    is_by_equivalent: false,
                }
            }
        }
    }
}

/// A focal length of a whole picture. How much was cut away of another nobody knows, and with it what the lens showed of the
/// sensor.
fn whole(focal_mm: &Told<f64>, cut: Option<&String>) -> Told<f64> {
    match cut {
        Some(_) => Told::missing("the picture was cut"),
        None => focal_mm.clone(),
    }
}

/// A sensor that nobody tells: unknown, unless a person tells a focal length, who then means it on the film that there is.
fn untold(laid: Film, given: &Given, why: &str, whose: &str) -> Told<Film> {
    match given.focal_mm {
        Some(_) => Told::from(laid, format!("{whose}, on which the focal length is given")),
        None => Told::missing(why),
    }
}

/// Whether a picture of this shape shows the whole of a sensor that lies as it does.
fn fits(film: &Film, shape: f64) -> bool {
    (film.height_mm / film.width_mm / shape - 1.0).abs() <= SAME_SHARE
}

fn turned(film: &Film) -> Film {
    Film {
        width_mm: film.height_mm,
        height_mm: film.width_mm,
    }
}

/// A sensor as the picture shows it: one that lies the other way was turned with the picture; of one that was cut, as
/// much as the picture's shape leaves.
fn laid(film: Film, shape: f64) -> Film {
    let turned = turned(&film);
    let film = if fits(&turned, shape) { turned } else { film };
    let width_mm = film.width_mm.min(film.height_mm / shape);
    Film {
        width_mm,
        height_mm: width_mm * shape,
    }
}

/// What a picture of another shape than its sensor's is, in words.
fn cut(film: &Film, shape: f64) -> Option<String> {
    let is_whole = fits(film, shape) || fits(&turned(film), shape);
    (!is_whole).then(|| "the picture has another shape: it was cut".to_string())
}

/// Widths and heights of the sensors and films that are in use behind larger lenses, millimetres. Common practice, from memory.
const USUAL_MM: [[f64; 2]; 13] = [
    [12.8, 9.6],
    [13.2, 8.8],
    [17.3, 13.0],
    [18.7, 14.0],
    [20.7, 13.8],
    [22.3, 14.9],
    [23.6, 15.7],
    [24.0, 24.0],
    [27.9, 18.6],
    [36.0, 24.0],
    [43.8, 32.9],
    [49.0, 36.7],
    [53.7, 40.3],
];

/// A sensor within this share of a usual one is that one: makers count their edges differently.
const USUAL_SHARE: f64 = 0.04;

/// Smaller sensors come in any size.
const ANY_SIZE_MM: f64 = 15.0;

/// What a sensor that no camera has is, in words: the density of its pixels is the camera's, but there are fewer of them.
fn unusual(film: &Film, kit: Film) -> Option<String> {
    let (long, short) = (
        film.width_mm.max(film.height_mm),
        film.width_mm.min(film.height_mm),
    );
    let kit = [
        kit.width_mm.max(kit.height_mm),
        kit.width_mm.min(kit.height_mm),
    ];
    let near = |own: f64, usual: f64| (own / usual - 1.0).abs() <= USUAL_SHARE;
    // The films of older cameras with a digital back are as wide as 56 mm.
    let largest = USUAL_MM[USUAL_MM.len() - 1][0] * (1.0 + USUAL_SHARE);
    let is_usual = film.diagonal_mm() < ANY_SIZE_MM
        || long > largest
        || (USUAL_MM.iter().chain([&kit])).any(|[a, b]| near(long, *a) && near(short, *b));
    (!is_usual).then(|| {
        format!(
            "no usual sensor has {:.1} × {:.1} mm: the picture may have been cut",
            film.width_mm, film.height_mm
        )
    })
}

/// Sizes that differ by no more than this share are one size, its density rounded by the camera.
const ROUNDED_SHARE: f64 = 0.003;

/// The size that is meant where one is only rounded: the kit's or 24 x 36 mm, either way up. A lens that lies just on a
/// limit would else fall to one side by a camera's arithmetic.
fn nominal(film: Film, kit: Film) -> Film {
    let is_near = |other: &Film| {
        let off = |own: f64, other: f64| (own / other - 1.0).abs();
        let worse = off(film.width_mm, other.width_mm).max(off(film.height_mm, other.height_mm));
        worse <= ROUNDED_SHARE
    };
    let meant = [kit, Film::FULL].into_iter();
    let mut ways = meant.flat_map(
        |Film {
             width_mm,
             height_mm,
         }| {
            [[width_mm, height_mm], [height_mm, width_mm]].map(|[width_mm, height_mm]| Film {
                width_mm,
                height_mm,
            })
        },
    );
    ways.find(is_near).unwrap_or(film)
}
