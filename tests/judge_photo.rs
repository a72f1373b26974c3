//! Files that are no photographs, or broken ones. May not enter: marks, grades.

use crate::judge_take::{photograph, rehearsed};
use sunside::judge::photo::Photo;

#[test]
fn hostile_photographs_are_told_and_nothing_panics() {
    rehearsed(|studio, stand, _| {
        let photo = photograph(studio, stand, true);
        let mut png = Vec::new();
        let mut cursor = std::io::Cursor::new(&mut png);
        photo
            .pixels
            .write_to(&mut cursor, image::ImageFormat::Png)
            .unwrap();
        assert!(Photo::read("whole.png", &png).is_ok());
        let mut jpeg = Vec::new();
        let mut cursor = std::io::Cursor::new(&mut jpeg);
        photo
            .pixels
            .write_to(&mut cursor, image::ImageFormat::Jpeg)
            .unwrap();
        let mut huge = png.clone();
        huge[16..24].copy_from_slice(&[0x7f, 0xff, 0xff, 0xff, 0x7f, 0xff, 0xff, 0xff]);
        let mut tiff_of_nothing = b"II*\0\x08\0\0\0\x01\0\0\x01\x04\0\x01\0\0\0".to_vec();
        tiff_of_nothing.extend([0xff; 8]);
        let hostile: Vec<Vec<u8>> = vec![
            vec![],
            b"not a picture".to_vec(),
            vec![0xff, 0xd8],
            vec![0xff, 0xd8, 0xff, 0xd9],
            vec![0xff; 4000],
            png[..40].to_vec(),
            png[..png.len() / 2].to_vec(),
            huge,
            tiff_of_nothing,
            b"II*\0\xff\xff\xff\xff".to_vec(),
            b"MM\0*\0\0\0\x08\0\0".to_vec(),
            jpeg[..200].to_vec(),
        ];
        for (index, bytes) in hostile.iter().enumerate() {
            let told = Photo::read("hostile", bytes).map(|photo| photo.size_px());
            assert!(told.is_err(), "{index}: {told:?}");
        }
        // Whatever a broken stream decodes to, it is a picture of its size or a message; one that is cut is a message, but
        // for its last bits, which the decoder may not need.
        let [width, height] = photo.size_px();
        let mut whole = 0;
        for step in 0..60 {
            let mut broken = jpeg.clone();
            let at = (step * 977) % broken.len();
            broken[at] ^= 0x5a;
            match Photo::read("broken", &broken) {
                Ok(read) => {
                    whole += 1;
                    let [across, down] = read.size_px();
                    assert!(across * down > 0.0 && across * down < 2e8);
                }
                Err(why) => assert!(!why.is_empty()),
            }
            let short = Photo::read("short", &jpeg[..jpeg.len() * step / 60]);
            assert!(short.is_err(), "{step} of 60 parts");
        }
        assert!(whole > 10, "{whole}");
        // Without the mark of its end it is the same picture, and that is said.
        let endless = Photo::read("endless", &jpeg[..jpeg.len() - 2]).unwrap();
        assert_eq!(endless.size_px(), [width, height]);
        assert!(endless.flaw.unwrap().contains("lacks the mark of its end"));
        assert_eq!(Photo::read("whole", &jpeg).unwrap().flaw, None);
        assert_eq!(endless.pixels, Photo::read("whole", &jpeg).unwrap().pixels);
    });
}
