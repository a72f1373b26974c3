//! EXIF tags as an independent writer puts them, byte by byte after CIPA DC-008 (EXIF 2.32), and files that mean
//! harm. May not enter: the reader's own library.

use proptest::prelude::*;
use sunside::judge::exif::read;

/// One entry of a directory: tag, type and its bytes, little-endian.
#[derive(Clone)]
pub struct Entry {
    tag: u16,
    kind: u16,
    count: u32,
    bytes: Vec<u8>,
}

/// Type 2: letters with a closing zero.
pub fn ascii(tag: u16, text: &str) -> Entry {
    let bytes = [text.as_bytes(), &[0]].concat();
    Entry {
        tag,
        kind: 2,
        count: bytes.len() as u32,
        bytes,
    }
}

/// Type 3: one number of two bytes.
pub fn short(tag: u16, value: u16) -> Entry {
    Entry {
        tag,
        kind: 3,
        count: 1,
        bytes: value.to_le_bytes().to_vec(),
    }
}

/// Type 5: numerators and denominators of four bytes each.
pub fn rationals(tag: u16, values: &[(u32, u32)]) -> Entry {
    let bytes = values
        .iter()
        .flat_map(|(a, b)| [a.to_le_bytes(), b.to_le_bytes()]);
    Entry {
        tag,
        kind: 5,
        count: values.len() as u32,
        bytes: bytes.flatten().collect(),
    }
}

fn long(tag: u16, value: u32) -> Entry {
    Entry {
        tag,
        kind: 4,
        count: 1,
        bytes: value.to_le_bytes().to_vec(),
    }
}

/// A directory at a place in the file, its longer values behind it.
fn directory(entries: &[Entry], at: usize) -> Vec<u8> {
    let mut sorted = entries.to_vec();
    sorted.sort_by_key(|entry| entry.tag);
    let mut head = (sorted.len() as u16).to_le_bytes().to_vec();
    let behind = at + 2 + 12 * sorted.len() + 4;
    let mut values = Vec::new();
    for entry in &sorted {
        head.extend(entry.tag.to_le_bytes());
        head.extend(entry.kind.to_le_bytes());
        head.extend(entry.count.to_le_bytes());
        if entry.bytes.len() <= 4 {
            let mut inline = entry.bytes.clone();
            inline.resize(4, 0);
            head.extend(inline);
        } else {
            head.extend(((behind + values.len()) as u32).to_le_bytes());
            values.extend(&entry.bytes);
            values.resize(values.len().next_multiple_of(2), 0);
        }
    }
    head.extend([0; 4]);
    head.extend(values);
    head
}

/// A TIFF block: first directory, EXIF directory, GPS directory.
pub fn tiff(first: &[Entry], exif: &[Entry], gps: &[Entry]) -> Vec<u8> {
    let mut block = b"II*\0\x08\0\0\0".to_vec();
    // Places depend on lengths only, which do not change with the pointers.
    let with_pointers =
        |exif_at, gps_at| [first, &[long(0x8769, exif_at), long(0x8825, gps_at)]].concat();
    let exif_at = 8 + directory(&with_pointers(0, 0), 8).len();
    let exif = directory(exif, exif_at);
    let gps_at = exif_at + exif.len();
    block.extend(directory(&with_pointers(exif_at as u32, gps_at as u32), 8));
    block.extend(exif);
    block.extend(directory(gps, gps_at));
    block
}

/// A JPEG with a TIFF block as its APP1 segment.
pub fn with_exif(jpeg: &[u8], block: &[u8]) -> Vec<u8> {
    let length = (block.len() + 8) as u16;
    let mut all = jpeg[..2].to_vec();
    all.extend([0xff, 0xe1]);
    all.extend(length.to_be_bytes());
    all.extend(b"Exif\0\0");
    all.extend(block);
    all.extend(&jpeg[2..]);
    all
}

const NO_PICTURE: [u8; 4] = [0xff, 0xd8, 0xff, 0xd9];

fn full() -> (Vec<Entry>, Vec<Entry>, Vec<Entry>) {
    let first = vec![short(0x0112, 6), ascii(0x0132, "2027:06:20 08:00:00")];
    let exif = vec![
        rationals(0x829a, &[(1, 250)]),
        rationals(0x829d, &[(56, 10)]),
        short(0x8827, 200),
        ascii(0x9003, "2027:06:11 10:20:30"),
        ascii(0x9004, "2027:06:11 10:20:30"),
        ascii(0x9011, "-06:00"),
        rationals(0x920a, &[(350, 10)]),
        long(0xa002, 6000),
        long(0xa003, 4000),
        // 6000 pixels on 23.5 mm: 2553.19 to a centimetre.
        rationals(0xa20e, &[(255_319, 100)]),
        rationals(0xa20f, &[(255_319, 100)]),
        short(0xa210, 3),
        short(0xa405, 53),
    ];
    let gps = vec![
        ascii(0x0001, "N"),
        rationals(0x0002, &[(43, 1), (30, 1), (1800, 100)]),
        ascii(0x0003, "W"),
        rationals(0x0004, &[(96, 1), (45, 1), (0, 1)]),
        rationals(0x0007, &[(16, 1), (20, 1), (28, 1)]),
        ascii(0x001d, "2027:06:11"),
    ];
    (first, exif, gps)
}

/// Takes tags out by number.
fn but(entries: &[Entry], tags: &[u16]) -> Vec<Entry> {
    let kept = entries.iter().filter(|entry| !tags.contains(&entry.tag));
    kept.cloned().collect()
}

#[test]
fn every_value_is_that_written_and_names_its_tag() {
    let (first, exif, gps) = full();
    let block = tiff(&first, &exif, &gps);
    // The same block as a file of its own is a TIFF.
    for bytes in [with_exif(&NO_PICTURE, &block), block] {
        let said = read(&bytes, None);
        assert!(said.broken.is_empty(), "{:?}", said.broken);
        assert_eq!(said.local.value.unwrap().to_string(), "2027-06-11 10:20:30");
        assert_eq!(said.local.origin, "DateTimeOriginal");
        assert_eq!(said.offset_min.value, Some(-360));
        assert_eq!(said.offset_min.origin, "OffsetTimeOriginal");
        assert_eq!(
            said.instant().unwrap().to_rfc3339(),
            "2027-06-11T16:20:30+00:00"
        );
        assert_eq!(said.focal_mm.value, Some(35.0));
        assert_eq!(said.equivalent_mm.value, Some(53.0));
        let film = said.sensor.value.unwrap();
        assert!((film.width_mm - 23.5).abs() < 1e-3 && (film.height_mm - 15.667).abs() < 1e-3);
        assert_eq!(said.sensor.origin, "FocalPlaneXResolution");
        let upright = said.upright_film().unwrap();
        assert_eq!(upright.width_mm, film.height_mm);
        let [lat, lon] = said.position_deg.value.unwrap();
        assert!((lat - 43.505).abs() < 1e-9 && (lon + 96.75).abs() < 1e-9);
        assert_eq!(said.orientation.value, Some(6));
        assert_eq!(said.f_number.value, Some(5.6));
        assert_eq!(said.exposure_s.value, Some(0.004));
        assert_eq!(said.iso.value, Some(200.0));
        for doubt in [
            &said.local.doubt,
            &said.offset_min.doubt,
            &said.sensor.doubt,
        ] {
            assert_eq!(*doubt, None);
        }
    }
}

#[test]
fn what_is_missing_is_told_and_derived_where_it_can_be() {
    let (first, exif, gps) = full();
    let said = read(
        &tiff(&first, &but(&exif, &[0x9011, 0xa20e, 0xa20f, 0x920a]), &gps),
        None,
    );
    assert_eq!(said.offset_min.value, Some(-360));
    assert_eq!(said.offset_min.origin, "GPSTimeStamp");
    assert_eq!(said.focal_mm.value, None);
    assert_eq!(said.focal_mm.origin, "no FocalLength");
    assert_eq!(said.sensor.value, None);
    // Without densities: 43.27 mm x 35 / 53 on the diagonal of 3 : 2.
    let said = read(&tiff(&first, &but(&exif, &[0xa20e, 0xa20f]), &gps), None);
    let film = said.sensor.value.unwrap();
    assert!(
        (film.width_mm - 36.0 * 35.0 / 53.0).abs() < 1e-3,
        "{film:?}"
    );
    assert_eq!(said.sensor.origin, "FocalLengthIn35mmFilm");
    let said = read(&tiff(&first, &but(&exif, &[0x9003, 0x9004]), &[]), None);
    assert_eq!(said.local.origin, "DateTime");
    assert!(said.local.doubt.is_some());
    assert_eq!(said.position_deg.value, None);
    let nothing = read(&NO_PICTURE, None);
    assert_eq!((nothing.local.value, nothing.instant()), (None, None));
    assert!(nothing.broken.is_empty());
}

/// A tag put in another's place.
fn with(entries: &[Entry], entry: Entry) -> Vec<Entry> {
    let mut all = but(entries, &[entry.tag]);
    all.push(entry);
    all
}

#[test]
fn what_is_contradictory_or_nonsense_is_told() {
    let (first, exif, gps) = full();
    let doubt = |entry: Entry| read(&tiff(&first, &with(&exif, entry), &gps), None);
    let said = doubt(ascii(0x9011, "+02:00"));
    assert_eq!(said.offset_min.value, Some(120));
    let told = said.offset_min.doubt.unwrap();
    assert_eq!(told, "the position's clock makes it -6.0 h");
    // An offset that is none is told, though the receiver's clock gives one.
    let said = doubt(ascii(0x9011, "+99:99"));
    assert_eq!(said.offset_min.value, Some(-360));
    assert_eq!(
        said.offset_min.doubt.unwrap(),
        "OffsetTimeOriginal says \"+99:99\""
    );
    let said = doubt(short(0xa405, 35));
    let told = said.sensor.doubt.unwrap();
    assert!(told.contains("1.53 times as large"), "{told}");
    let said = doubt(ascii(0x9004, "2026:06:11 10:20:30"));
    assert!(said.local.doubt.unwrap().contains("2026-06-11"));
    for unset in [
        "0000:00:00 00:00:00",
        "    :  :     :  :  ",
        "2027:02:30 10:00:00",
    ] {
        let said = doubt(ascii(0x9003, unset));
        assert_eq!(said.local.origin, "DateTimeDigitized", "{unset}");
        assert!(
            said.local
                .doubt
                .unwrap()
                .starts_with("DateTimeOriginal says")
        );
    }
    let said = doubt(rationals(0x920a, &[(35, 0)]));
    assert_eq!(said.focal_mm.value, None);
    assert_eq!(said.focal_mm.origin, "FocalLength holds no number");
    assert_eq!(doubt(rationals(0x829d, &[(0, 1)])).f_number.value, None);
    let far = with(&gps, rationals(0x0002, &[(143, 1), (0, 1), (0, 1)]));
    let said = read(&tiff(&first, &exif, &far), None);
    assert_eq!(said.position_deg.value, None);
    assert!(
        said.position_deg
            .origin
            .contains("GPSLatitude is no angle of ±90°")
    );
    let mut zero = with(&gps, rationals(0x0002, &[(0, 1); 3]));
    zero = with(&zero, rationals(0x0004, &[(0, 1); 3]));
    assert!(
        read(&tiff(&first, &exif, &zero), None)
            .position_deg
            .doubt
            .is_some()
    );
    let said = doubt(ascii(0x9011, "\u{1b}[31m"));
    assert!(
        !said.offset_min.origin.contains('\u{1b}'),
        "{:?}",
        said.offset_min
    );
}

#[test]
fn files_that_mean_harm_are_told_and_nothing_hangs() {
    let (first, exif, gps) = full();
    let block = tiff(&first, &exif, &gps);
    let whole = with_exif(&NO_PICTURE, &block);
    for end in 0..whole.len() {
        read(&whole[..end], None);
    }
    // A directory whose next one is itself.
    let mut looped = block.clone();
    let entries = usize::from(u16::from_le_bytes([looped[8], looped[9]]));
    let next = 10 + 12 * entries;
    looped[next..next + 4].copy_from_slice(&8_u32.to_le_bytes());
    read(&looped, None);
    // An EXIF directory that is the first one again.
    let mut inside = directory(&[long(0x8769, 8), long(0x8825, 8)], 8);
    let mut own = b"II*\0\x08\0\0\0".to_vec();
    own.append(&mut inside);
    assert!(!read(&own, None).broken.is_empty() || read(&own, None).local.value.is_none());
    // Four thousand million letters, and as many pairs.
    for kind in [2_u16, 5, 7, 13] {
        let huge = Entry {
            tag: 0x9003,
            kind,
            count: u32::MAX,
            bytes: vec![0xff, 0xff, 0xff, 0x7f],
        };
        let said = read(&tiff(&first, &with(&exif, huge), &gps), None);
        assert_ne!(said.local.origin, "DateTimeOriginal");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]
    #[test]
    fn any_byte_may_be_another(at in 0usize..700, value: u8, more in 0usize..700, other: u8) {
        let (first, exif, gps) = full();
        let mut bytes = with_exif(&NO_PICTURE, &tiff(&first, &exif, &gps));
        for (at, value) in [(at, value), (more, other)] {
            let at = at % bytes.len();
            bytes[at] = value;
        }
        let said = read(&bytes, Some([600, 400]));
        if let Some(film) = said.sensor.value {
            prop_assert!(film.width_mm.is_finite() && film.height_mm > 0.0);
        }
        said.instant();
    }
}
