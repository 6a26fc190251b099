//! How property tests run, in `src` and below `tests` alike.

/// The configuration of the property tests of a file: how many cases, or proptest's own number. `LONGPOINT_CASES` says how
/// many times as many are tried of those that have a number.
///
/// What fails is kept below `tests/proptest-regressions` under the path of the file, and tried again first.
macro_rules! cases {
    () => {
        ::proptest::test_runner::Config {
            failure_persistence: Some(Box::new(
                ::proptest::test_runner::FileFailurePersistence::Direct(concat!(
                    env!("CARGO_MANIFEST_DIR"),
                    "/tests/proptest-regressions/",
                    file!(),
                    ".txt"
                )),
            )),
            ..::proptest::test_runner::Config::default()
        }
    };
    ($cases:expr) => {
        ::proptest::test_runner::Config {
            cases: $cases
                * ::std::env::var("LONGPOINT_CASES")
                    .ok()
                    .and_then(|times| times.parse::<u32>().ok())
                    .unwrap_or(1),
            ..cases!()
        }
    };
}
