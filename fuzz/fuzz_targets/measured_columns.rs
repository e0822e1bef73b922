#![no_main]
//! Feeds what the fuzzer makes up to the property `measured_columns`.

#[path = "../../tests/found_by_fuzzing/properties.rs"]
mod properties;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    properties::measured_columns(bytes);
});
