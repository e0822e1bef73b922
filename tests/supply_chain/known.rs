//! The shape of `advisories.toml`: what the advisory database and the registry say of the crates in the lock file.

use semver::{Version, VersionReq};
use serde::Deserialize;
use std::collections::BTreeSet;

/// What is kept by hand: what was looked up, and what was found.
#[derive(Deserialize)]
pub struct Known {
    pub database: Database,
    pub registry: Registry,
    pub advisory: Vec<Advisory>,
    pub exception: Vec<Exception>,
}

/// The RustSec database's copy that was read.
#[derive(Deserialize)]
pub struct Database {
    pub read_on: String,
    pub newest_seen: String,
    pub looked_up: BTreeSet<String>,
}

/// The registry's index, and the locked versions that it says are yanked.
#[derive(Deserialize)]
pub struct Registry {
    pub read_on: String,
    pub yanked: Vec<String>,
}

/// One advisory that names a crate of the lock file.
#[derive(Deserialize)]
pub struct Advisory {
    pub id: String,
    #[serde(rename = "crate")]
    pub name: String,
    pub title: String,
    pub withdrawn: Option<String>,
    pub patched: Vec<VersionReq>,
    pub unaffected: Vec<VersionReq>,
}

/// An advisory that is let stand, and why.
#[derive(Deserialize)]
pub struct Exception {
    pub id: String,
    #[serde(rename = "crate")]
    pub name: String,
    pub reason: String,
}

impl Advisory {
    /// As the database defines it: every version that is neither patched nor unaffected, unless the advisory was withdrawn.
    pub fn affects(&self, version: &Version) -> bool {
        let spared = self.patched.iter().chain(&self.unaffected);
        self.withdrawn.is_none() && !spared.into_iter().any(|range| range.matches(version))
    }
}
