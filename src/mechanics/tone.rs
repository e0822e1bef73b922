//! Tone of a plucked line: f = √(T/μ)/(2L), and the tension that a tone tells.
//!
//! Assumes a flexible line that carries nothing but itself over the length that sounds, fixed at both ends; the stiffness of
//! wire and the stretch of a hard pluck raise the tone a little.
//! Source: the textbook relation of an ideal string (Mersenne's law), checked against a published table of strings in
//! `tests/reference/bench.toml`.

/// Frequency, Hz, of the lowest tone of a line of `length_mm` and `mass_kg_per_m` under the tension `tension_n`.
pub fn tone_hz(tension_n: f64, mass_kg_per_m: f64, length_mm: f64) -> f64 {
    (tension_n / mass_kg_per_m).sqrt() / (2.0 * length_mm * 1e-3)
}

/// Tension, N, of a line of `length_mm` and `mass_kg_per_m` whose lowest tone is `tone_hz`.
pub fn tension_of_tone_n(tone_hz: f64, mass_kg_per_m: f64, length_mm: f64) -> f64 {
    let speed_m_per_s = 2.0 * length_mm * 1e-3 * tone_hz;
    mass_kg_per_m * speed_m_per_s * speed_m_per_s
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tone_tells_the_tension_that_makes_it() {
        let tone = tone_hz(8.0, 5.6e-5, 380.0);
        assert!((tension_of_tone_n(tone, 5.6e-5, 380.0) - 8.0).abs() < 1e-12);
        assert!((tone_hz(32.0, 5.6e-5, 380.0) - 2.0 * tone).abs() < 1e-9);
    }
}
