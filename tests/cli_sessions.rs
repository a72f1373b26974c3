//! Recorded command-line sessions: what is typed, what is answered, word for word. May not enter: numbers
//! that a better picture or search would change.

#[test]
fn recorded_sessions_are_answered_word_for_word() {
    trycmd::TestCases::new().case("tests/cli_sessions/*.trycmd");
}
