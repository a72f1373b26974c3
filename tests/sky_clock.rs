//! Civil time: gaps, folds, odd offsets and current rules. What each zone does is from the IANA tz database.
//! May not enter: suns.

use chrono::{DateTime, NaiveDate, NaiveDateTime, TimeDelta, Utc};
use proptest::prelude::*;
use sunside::sky::clock::{LocalTimeError, TimeTextError, Zone};

fn zone(name: &str) -> Zone {
    Zone::named(name).unwrap()
}

fn naive(text: &str) -> NaiveDateTime {
    NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").unwrap()
}

fn utc(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn date(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

#[test]
fn an_instant_reads_as_the_clock_shows_it() {
    let local = zone("America/Chicago").local(utc("2027-05-14T15:20:00Z"));
    assert_eq!(local.to_string(), "2027-05-14 10:20 CDT");
    assert_eq!(local.time_text(), "10:20 CDT");
    assert_eq!(
        (local.offset_s, local.offset_text().as_str()),
        (-18_000, "-05:00")
    );
    let nameless = zone("America/Sao_Paulo").local(utc("2027-05-14T15:20:00Z"));
    assert_eq!(nameless.time_text(), "12:20 UTC-03");
}

#[test]
fn texts_are_read_in_the_zone_unless_they_say_otherwise() {
    let chicago = zone("America/Chicago");
    for (text, instant) in [
        ("2027-05-14 10:20", "2027-05-14T15:20:00Z"),
        (" 2027-05-14T10:20:30 ", "2027-05-14T15:20:30Z"),
        ("2027-05-14T10:20Z", "2027-05-14T10:20:00Z"),
        ("2027-11-07 01:30-05:00", "2027-11-07T06:30:00Z"),
        ("2027-11-07 01:30-06:00", "2027-11-07T07:30:00Z"),
        ("2027-05-14 10:20 +05:45", "2027-05-14T04:35:00Z"),
    ] {
        assert_eq!(chicago.parse_instant(text), Ok(utc(instant)), "{text}");
    }
    for text in [
        "",
        "noon",
        "2027-05-14",
        "2027-13-14 10:20",
        "2027-02-29 10:20",
        "2027-05-14 25:00",
        "2027-05-14 10:20:60",
        "2027-05-14 10:20 CDT",
        "2027-05-14 10:20-5",
        "2027-05-14 10:20-05:75",
        "2027-05-14 10:20+aé:00",
        "NaN NaN",
        "2027-05-14 é:20",
        "2027-05-14 10:20--05:00",
    ] {
        let found = chicago.parse_instant(text);
        assert!(
            matches!(found, Err(TimeTextError::Malformed { .. })),
            "{text}: {found:?}"
        );
    }
    for text in [
        "0027-05-14 10:20",
        "+99999-05-14 10:20",
        "2327-05-14 10:20Z",
    ] {
        let found = chicago.parse_instant(text);
        let out = matches!(
            found,
            Err(TimeTextError::Local(LocalTimeError::OutOfRange { .. }))
        );
        assert!(out, "{text}: {found:?}");
    }
}

#[test]
fn a_missing_hour_offers_both_readings() {
    let error = zone("America/Chicago")
        .parse_instant("2027-03-14 02:30")
        .unwrap_err();
    let TimeTextError::Local(LocalTimeError::Missing(two)) = &error else {
        panic!("{error:?}");
    };
    assert_eq!(two.earlier.utc, utc("2027-03-14T07:30:00Z"));
    assert_eq!(two.later.utc, utc("2027-03-14T08:30:00Z"));
    assert_eq!(
        error.to_string(),
        "2027-03-14 02:30 does not exist in America/Chicago, where the clock is set forward then: give \
         2027-03-14 01:30-06:00 (CST, 07:30 UTC) or 2027-03-14 03:30-05:00 (CDT, 08:30 UTC)"
    );
}

#[test]
fn a_doubled_hour_offers_both_readings() {
    let chicago = zone("America/Chicago");
    let error = chicago.parse_instant("2027-11-07 01:30").unwrap_err();
    let TimeTextError::Local(LocalTimeError::Doubled(two)) = &error else {
        panic!("{error:?}");
    };
    assert_eq!(
        error.to_string(),
        "2027-11-07 01:30 happens twice in America/Chicago, where the clock is set back then: give \
         2027-11-07 01:30-05:00 (CDT, 06:30 UTC) or 2027-11-07 01:30-06:00 (CST, 07:30 UTC)"
    );
    // What the message offers can be typed as it stands.
    for reading in [&two.earlier, &two.later] {
        let text = reading.to_string();
        let (typed, _) = text.split_once(" (").unwrap();
        assert_eq!(chicago.parse_instant(typed), Ok(reading.utc));
    }
}

#[test]
fn lord_howe_shifts_by_half_an_hour() {
    let howe = zone("Australia/Lord_Howe");
    // 2027-04-04 02:00 back to 01:30; 2027-10-03 02:00 on to 02:30.
    let Err(LocalTimeError::Doubled(two)) = howe.instant(naive("2027-04-04 01:45")) else {
        panic!("not doubled");
    };
    assert_eq!(two.later.utc - two.earlier.utc, TimeDelta::minutes(30));
    assert!(howe.instant(naive("2027-04-04 01:15")).is_ok());
    let missing = howe.instant(naive("2027-10-03 02:15"));
    assert!(matches!(missing, Err(LocalTimeError::Missing(_))));
    assert!(howe.instant(naive("2027-10-03 02:45")).is_ok());
}

#[test]
fn days_have_the_hours_that_they_have() {
    let hours = |name: &str, day: &str| {
        let (start, end) = zone(name).day(date(day));
        (end - start).num_minutes() as f64 / 60.0
    };
    assert_eq!(hours("America/Chicago", "2027-05-14"), 24.0);
    assert_eq!(hours("America/Chicago", "2027-03-14"), 23.0);
    assert_eq!(hours("America/Chicago", "2027-11-07"), 25.0);
    assert_eq!(hours("Australia/Lord_Howe", "2027-10-03"), 23.5);
    assert_eq!(hours("Pacific/Apia", "2011-12-30"), 0.0);
}

#[test]
fn a_day_whose_midnight_is_missing_starts_where_the_clock_jumps() {
    // Brazil, 2018-11-04: 00:00 on to 01:00.
    let (start, end) = zone("America/Sao_Paulo").day(date("2018-11-04"));
    assert_eq!(start, utc("2018-11-04T03:00:00Z"));
    assert_eq!((end - start).num_hours(), 23);
    // Toronto, 1919-03-30: 23:30 on to 00:30 of the 31st, half an hour before midnight as it had been.
    let (start, end) = zone("America/Toronto").day(date("1919-03-31"));
    assert_eq!(start, utc("1919-03-31T04:30:00Z"));
    assert_eq!(
        zone("America/Toronto").local(start).naive,
        naive("1919-03-31 00:30")
    );
    assert_eq!((end - start).num_minutes(), 23 * 60 + 30);
    let (_, end) = zone("America/Toronto").day(date("1919-03-30"));
    assert_eq!(end, start);
}

#[test]
fn a_wrong_name_is_told_what_it_may_have_meant() {
    let message = |name| Zone::named(name).unwrap_err().to_string();
    assert!(
        message("America/Chicgo").contains("did you mean America/Chicago"),
        "{}",
        message("America/Chicgo")
    );
    assert!(message("Chicago").contains("America/Chicago"));
    assert!(message("america/new york").contains("America/New_York"));
    assert!(message("").contains("no time zone is called \"\""));
    assert!(message("Etc/Unknown").contains("no time zone"));
    assert!(message("../../etc/passwd").contains("no time zone"));
    assert_eq!(
        Zone::named("america/chicago").unwrap().name(),
        "America/Chicago"
    );
    assert_eq!(zone("UTC").name(), "UTC");
}

/// Provinces that gave up changing the clock in 2026 (IANA tz database 2026f): an older database has them an
/// hour, and the sun 15 degrees, off.
#[test]
fn the_rules_are_the_current_ones() {
    let noon = utc("2027-01-15T18:00:00Z");
    for (name, clock) in [
        ("America/Vancouver", "2027-01-15 11:00"),
        ("America/Edmonton", "2027-01-15 12:00"),
        ("America/Winnipeg", "2027-01-15 13:00"),
    ] {
        assert_eq!(zone(name).local(noon).naive, naive(clock), "{name}");
    }
}

#[test]
fn instants_beyond_all_rules_do_not_panic() {
    for name in ["America/Chicago", "Asia/Kathmandu", "UTC"] {
        for instant in [DateTime::<Utc>::MIN_UTC, DateTime::<Utc>::MAX_UTC] {
            zone(name).local(instant);
        }
        for day in [NaiveDate::MIN, NaiveDate::MAX] {
            let (start, end) = zone(name).day(day);
            assert!(start <= end);
        }
    }
}

proptest! {
    #[test]
    fn an_instant_leads_back_through_its_local_time(
        second in 1_577_836_800_i64..1_893_456_000,
        which in 0_usize..8,
    ) {
        let name = ["America/Chicago", "America/Phoenix", "Australia/Lord_Howe", "Asia/Kathmandu",
            "America/St_Johns", "Europe/London", "America/Havana", "UTC"][which];
        let zone = zone(name);
        let instant = DateTime::from_timestamp(second, 0).unwrap();
        let local = zone.local(instant);
        match zone.instant(local.naive) {
            Ok(back) => prop_assert_eq!(back, instant),
            Err(LocalTimeError::Doubled(two)) => {
                prop_assert!(two.earlier.utc < two.later.utc);
                prop_assert!(two.earlier.utc == instant || two.later.utc == instant);
                prop_assert_eq!(two.earlier.local.naive, local.naive);
                prop_assert_eq!(two.later.local.naive, local.naive);
            }
            Err(other) => prop_assert!(false, "{} from a real instant", other),
        }
        // With its offset written behind it the same time is never in doubt.
        let text = format!("{}{}", local.naive.format("%Y-%m-%d %H:%M:%S"), local.offset_text());
        prop_assert_eq!(zone.parse_instant(&text), Ok(instant));
        let (start, end) = zone.day(local.naive.date());
        prop_assert!(start <= instant && instant < end);
    }
}
