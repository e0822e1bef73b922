//! What the build takes from others: licences, sources, C, the oldest Rust, unsafe code, known security advisories.
//!
//! Everything is read from this machine: the lock file, and what cargo has of the crates that it names. After `cargo fetch --locked`
//! that is all of them; without it, those of this machine's platform, and the counts say so.

#[path = "supply_chain/known.rs"]
mod known;

use known::Known;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

use semver::Version;
use serde::Deserialize;
use spdx::{Expression, Licensee, ParseMode};

/// Licences under which a crate may be: all ask for no more than that their text and the names in it are passed on.
const ALLOWED: [&str; 11] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Crates that compile C, or look for a library of the system, while a crate is built.
const COMPILES_OR_SEARCHES: [&str; 11] = [
    "autotools",
    "bindgen",
    "cc",
    "clang-sys",
    "cmake",
    "cpp_build",
    "nasm-rs",
    "pkg-config",
    "pkgconf",
    "system-deps",
    "vcpkg",
];

/// The key `links` without a library behind it, and why.
const LINKS_NOTHING: [(&str, &str); 1] = [(
    "rayon-core",
    "the key only keeps two versions of its pool of threads out of one program",
)];

/// Platforms whose builds are told to need nothing but the Rust toolchain.
const PLATFORMS: [&str; 4] = [
    "x86_64-unknown-linux-gnu",
    "aarch64-unknown-linux-gnu",
    "x86_64-pc-windows-msvc",
    "aarch64-apple-darwin",
];

const REGISTRY: &str = "registry+https://github.com/rust-lang/crates.io-index";

#[derive(Deserialize)]
struct Metadata {
    packages: Vec<Package>,
    resolve: Resolve,
}

#[derive(Deserialize)]
struct Package {
    id: String,
    name: String,
    version: Version,
    license: Option<String>,
    links: Option<String>,
    rust_version: Option<String>,
    source: Option<String>,
    manifest_path: PathBuf,
}

#[derive(Deserialize)]
struct Resolve {
    nodes: Vec<Node>,
    root: String,
}

#[derive(Deserialize)]
struct Node {
    id: String,
    deps: Vec<Dependency>,
}

#[derive(Deserialize)]
struct Dependency {
    pkg: String,
    dep_kinds: Vec<Kind>,
}

#[derive(Deserialize)]
struct Kind {
    kind: Option<String>,
}

#[derive(Deserialize)]
struct Lock {
    version: u32,
    package: Vec<Locked>,
}

#[derive(Deserialize)]
struct Locked {
    name: String,
    version: Version,
    source: Option<String>,
    checksum: Option<String>,
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(name: &str) -> String {
    std::fs::read_to_string(root().join(name)).unwrap_or_else(|why| panic!("{name}: {why}"))
}

fn cargo(arguments: &[&str]) -> Result<String, String> {
    let program = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let done = Command::new(program)
        .args(arguments)
        .current_dir(root())
        .output()
        .map_err(|why| why.to_string())?;
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    if done.status.success() {
        Ok(text(&done.stdout))
    } else {
        Err(text(&done.stderr))
    }
}

fn metadata(platform: Option<&str>) -> Result<Metadata, String> {
    let mut arguments = vec!["metadata", "--locked", "--offline", "--format-version", "1"];
    if let Some(platform) = platform {
        arguments.extend(["--filter-platform", platform]);
    }
    serde_json::from_str(&cargo(&arguments)?).map_err(|why| why.to_string())
}

fn host() -> String {
    let told = cargo(&["--version", "--verbose"]).expect("cargo tells its version");
    let line = told.lines().find_map(|line| line.strip_prefix("host: "));
    line.expect("cargo tells its host").to_owned()
}

/// The graph of all platforms, or of this one where cargo has no more.
fn graph() -> &'static Metadata {
    static GRAPH: OnceLock<Metadata> = OnceLock::new();
    GRAPH.get_or_init(|| {
        metadata(None).unwrap_or_else(|why| {
            println!(
                "only this machine's platform is looked at, until `cargo fetch --locked`: {why}"
            );
            metadata(Some(&host())).unwrap_or_else(|why| panic!("cargo metadata --locked: {why}"))
        })
    })
}

fn lock() -> Lock {
    toml::from_str(&read("Cargo.lock")).expect("a lock file")
}

fn known() -> Known {
    toml::from_str(&read("tests/supply_chain/advisories.toml"))
        .unwrap_or_else(|why| panic!("tests/supply_chain/advisories.toml: {why}"))
}

impl Metadata {
    /// Packages that the program is built from (`false`), or that only its tests and benchmarks need (`true`); without our own.
    fn packages_of(&self, tests_only: bool) -> Vec<&Package> {
        let shipped = self.reached(&[None, Some("build")]);
        let wanted = if tests_only {
            let tested = self.reached(&[Some("dev")]);
            tested.difference(&shipped).copied().collect()
        } else {
            shipped
        };
        let ours = self.resolve.root.as_str();
        let found = self.packages.iter();
        found
            .filter(|package| package.id != ours && wanted.contains(package.id.as_str()))
            .collect()
    }

    fn all_packages(&self) -> Vec<&Package> {
        let mut all = self.packages_of(false);
        all.extend(self.packages_of(true));
        all
    }

    /// All that is reached from our package over dependencies of these kinds, and from there over all but development ones.
    fn reached(&self, kinds_of_ours: &[Option<&str>]) -> BTreeSet<&str> {
        let nodes: BTreeMap<&str, &Node> = self
            .resolve
            .nodes
            .iter()
            .map(|node| (node.id.as_str(), node))
            .collect();
        let ours = self.resolve.root.as_str();
        let mut found = BTreeSet::new();
        let mut next = vec![ours];
        while let Some(id) = next.pop() {
            if !found.insert(id) {
                continue;
            }
            for dependency in &nodes[id].deps {
                let kinds = || dependency.dep_kinds.iter().map(|kind| kind.kind.as_deref());
                let follows = if id == ours {
                    kinds().any(|kind| kinds_of_ours.contains(&kind))
                } else {
                    kinds().any(|kind| kind != Some("dev"))
                };
                if follows {
                    next.push(&dependency.pkg);
                }
            }
        }
        found
    }
}

fn called(package: &Package) -> String {
    format!("{} {}", package.name, package.version)
}

/// Whether this licence expression can be met by licences on the list; the reason where it cannot.
fn licence_is_met(expression: &str) -> Result<(), String> {
    let allowed: Vec<Licensee> = ALLOWED
        .iter()
        .map(|licence| Licensee::parse(licence).expect("an SPDX licence"))
        .collect();
    let parsed = Expression::parse_mode(expression, ParseMode::LAX)
        .map_err(|why| format!("\"{expression}\" is no SPDX expression: {}", why.reason))?;
    if parsed.evaluate(|asked| allowed.iter().any(|licence| licence.satisfies(asked))) {
        Ok(())
    } else {
        Err(format!(
            "\"{expression}\" cannot be met by the licences allowed"
        ))
    }
}

/// Whether some choice that an expression leaves asks for no copyleft.
fn goes_without_copyleft(expression: &str) -> bool {
    let parsed = Expression::parse_mode(expression, ParseMode::LAX);
    parsed.is_ok_and(|parsed| {
        parsed.evaluate(|asked| asked.license.id().is_some_and(|id| !id.is_copyleft()))
    })
}

#[test]
fn an_expression_is_judged_by_its_parts() {
    for met in [
        "MIT",
        "MIT/Apache-2.0",
        "GPL-3.0-only OR MIT",
        "(MIT OR GPL-2.0-only) AND Unicode-3.0",
        "Apache-2.0 WITH LLVM-exception",
    ] {
        assert_eq!(licence_is_met(met), Ok(()));
        assert!(goes_without_copyleft(met), "{met}");
    }
    for not_met in ["GPL-3.0-only", "MIT AND LGPL-2.1-or-later", "MPL-2.0"] {
        assert!(licence_is_met(not_met).is_err(), "{not_met}");
        assert!(!goes_without_copyleft(not_met), "{not_met}");
    }
    assert!(licence_is_met("free for all").is_err());
    assert!(licence_is_met("GPL-2.0-only WITH Classpath-exception-2.0").is_err());
    for licence in ALLOWED {
        assert!(goes_without_copyleft(licence), "{licence}");
    }
}

#[test]
fn every_licence_is_on_the_list_and_what_ships_is_free_of_copyleft() {
    let mut wrong = Vec::new();
    for (what, tests_only) in [("in the program", false), ("in its tests only", true)] {
        let packages = graph().packages_of(tests_only);
        let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
        for package in &packages {
            let Some(licence) = package.license.as_deref() else {
                wrong.push(format!("{}: no licence is told", called(package)));
                continue;
            };
            *counts.entry(licence).or_default() += 1;
            if let Err(why) = licence_is_met(licence) {
                wrong.push(format!("{}: {why}", called(package)));
            }
            if !tests_only && !goes_without_copyleft(licence) {
                wrong.push(format!("{}: copyleft in what ships", called(package)));
            }
        }
        println!("{} crates {what}", packages.len());
        for (licence, count) in counts {
            println!("{count:>5}  {licence}");
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The crate's stated licence is that of its code. Its fonts (version 1.04) name two: the text beside them is the SIL Open Font
/// License 1.1, their own fields say Apache License 2.0. Either is free, and asks that notice and licence go with every copy, which
/// those fields do: the fonts are compiled in whole.
#[test]
fn the_fonts_carry_their_licence_into_the_program() {
    let packages = graph().packages_of(false);
    let fonts = packages.iter().find(|package| package.name == "notosans");
    let folder = fonts.expect("the fonts' crate").manifest_path.parent();
    let text = folder.map(|folder| std::fs::read_to_string(folder.join("fonts/LICENSE_OFL.txt")));
    let text = text
        .expect("a folder")
        .expect("the licence is beside the fonts");
    assert!(text.contains("SIL OPEN FONT LICENSE Version 1.1"), "{text}");
    let holds = |font: &[u8], words: &str| {
        let sought: Vec<u8> = words.encode_utf16().flat_map(u16::to_be_bytes).collect();
        font.windows(sought.len()).any(|window| window == sought)
    };
    for font in [notosans::REGULAR_TTF, notosans::BOLD_TTF] {
        assert!(holds(
            font,
            "Licensed under the Apache License, Version 2.0"
        ));
        assert!(holds(font, "Copyright 2012 Google Inc."));
    }
}

#[test]
fn every_crate_comes_from_the_registry_by_checksum() {
    let lock = lock();
    assert!(lock.version >= 4, "lock file of version {}", lock.version);
    assert!(
        !read(".gitignore").contains("Cargo.lock"),
        "the lock is kept"
    );
    let mut ours = 0;
    for package in &lock.package {
        let Some(source) = &package.source else {
            assert_eq!(package.name, env!("CARGO_PKG_NAME"), "a crate by its path");
            ours += 1;
            continue;
        };
        assert_eq!(source, REGISTRY, "{}", package.name);
        let checksum = package.checksum.as_deref().unwrap_or_default();
        let sound = checksum.len() == 64 && checksum.bytes().all(|byte| byte.is_ascii_hexdigit());
        assert!(sound, "{}: checksum \"{checksum}\"", package.name);
    }
    assert_eq!(ours, 1);
    let locked: BTreeSet<(&str, &Version)> = lock
        .package
        .iter()
        .map(|package| (package.name.as_str(), &package.version))
        .collect();
    let seen = graph().all_packages();
    for package in &seen {
        assert_eq!(
            package.source.as_deref(),
            Some(REGISTRY),
            "{}",
            called(package)
        );
        assert!(locked.contains(&(package.name.as_str(), &package.version)));
    }
    println!(
        "{} crates in Cargo.lock, {} looked at",
        locked.len() - 1,
        seen.len()
    );
}

#[test]
fn a_build_needs_no_c_and_no_library_of_the_system() {
    let mut looked = Vec::new();
    for platform in PLATFORMS {
        let Ok(of_platform) = metadata(Some(platform)) else {
            continue;
        };
        looked.push(platform);
        for package in of_platform.all_packages() {
            let name = package.name.as_str();
            assert!(
                !COMPILES_OR_SEARCHES.contains(&name),
                "{platform}: {name} compiles C or looks for a library of the system"
            );
            if let Some(links) = &package.links {
                let harmless = LINKS_NOTHING.iter().any(|(known, _)| *known == name);
                assert!(harmless, "{platform}: {name} links {links}");
            }
        }
    }
    println!("looked at {}", looked.join(", "));
    let here = host();
    assert!(
        looked.contains(&here.as_str()) || !PLATFORMS.contains(&here.as_str()),
        "not even {here} could be looked at"
    );
}

fn rust_version(text: &str) -> Version {
    let dots = text.matches('.').count();
    let full = format!("{text}{}", ".0".repeat(2_usize.saturating_sub(dots)));
    Version::parse(&full).unwrap_or_else(|why| panic!("rust-version {text}: {why}"))
}

#[test]
fn the_oldest_rust_is_what_the_crates_need_and_what_is_told() {
    let stated = env!("CARGO_PKG_RUST_VERSION");
    let ours = rust_version(stated);
    let mut newest = Version::new(0, 0, 0);
    let mut setters = Vec::new();
    for package in graph().all_packages() {
        let Some(needs) = package.rust_version.as_deref().map(rust_version) else {
            continue;
        };
        assert!(needs <= ours, "{} needs Rust {needs}", called(package));
        if needs > newest {
            newest = needs.clone();
            setters.clear();
        }
        if needs == newest {
            setters.push(called(package));
        }
    }
    println!("Rust {newest}, set by {}", setters.join(", "));
    let told = format!("{}.{} or newer", ours.major, ours.minor);
    for file in ["README.md", ".ci/run"] {
        assert!(read(file).contains(&told), "{file} does not say {told}");
    }
    let manifest: toml::Table = toml::from_str(&read("Cargo.toml")).expect("a manifest");
    let lint = manifest["lints"]["clippy"].get("incompatible_msrv");
    assert_eq!(lint.and_then(toml::Value::as_str), Some("warn"));
    for file in ["clippy.toml", ".clippy.toml"] {
        assert!(
            !root().join(file).exists(),
            "{file} could state another version"
        );
    }
}

fn our_sources() -> Vec<(PathBuf, String)> {
    let mut folders: Vec<PathBuf> = ["src", "tests", "benches", "examples"]
        .iter()
        .map(|name| root().join(name))
        .collect();
    let mut found = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).expect("a folder of ours") {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let text = std::fs::read_to_string(&path).expect("readable");
                found.push((path, text));
            }
        }
    }
    found
}

#[test]
fn unsafe_code_and_older_rust_are_let_in_nowhere() {
    let manifest: toml::Table = toml::from_str(&read("Cargo.toml")).expect("a manifest");
    let lint = manifest["lints"]["rust"].get("unsafe_code");
    assert_eq!(lint.and_then(toml::Value::as_str), Some("forbid"));
    let sources = our_sources();
    assert!(sources.len() > 300, "only {} files", sources.len());
    for (path, text) in sources {
        let flat: String = text.split_whitespace().collect();
        for lint in ["unsafe_code", "clippy::incompatible_msrv"] {
            for level in ["allow", "expect", "warn"] {
                let sought = [level, "(", lint].concat();
                assert!(!flat.contains(&sought), "{}: {sought})", path.display());
            }
        }
    }
}

#[test]
fn no_locked_version_is_one_that_an_advisory_warns_of() {
    let (lock, known) = (lock(), known());
    let mut wrong = Vec::new();
    let mut used = BTreeSet::new();
    for package in lock
        .package
        .iter()
        .filter(|package| package.source.is_some())
    {
        if !known.database.looked_up.contains(&package.name) {
            wrong.push(format!("{}: not looked up in the database", package.name));
        }
        let told = known.advisory.iter();
        for advisory in
            told.filter(|told| told.name == package.name && told.affects(&package.version))
        {
            let borne = known.exception.iter();
            match borne
                .clone()
                .find(|borne| borne.id == advisory.id && borne.name == package.name)
            {
                Some(borne) => {
                    used.insert(borne.id.as_str());
                    println!("borne with: {} {}: {}", borne.id, borne.name, borne.reason);
                }
                None => wrong.push(format!(
                    "{} {}: {}: {}",
                    package.name, package.version, advisory.id, advisory.title
                )),
            }
        }
    }
    for borne in &known.exception {
        assert!(borne.reason.len() > 40, "{}: give the reason", borne.id);
        if !used.contains(borne.id.as_str()) {
            wrong.push(format!("{} {}: no longer needed", borne.id, borne.name));
        }
    }
    assert!(
        known.registry.yanked.is_empty(),
        "{:?}",
        known.registry.yanked
    );
    println!(
        "{} crates looked up on {}, {} advisories on them; newest seen: {}; yanked versions looked for on {}",
        known.database.looked_up.len(),
        known.database.read_on,
        known.advisory.len(),
        known.database.newest_seen,
        known.registry.read_on
    );
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Versions that the text of the advisories names as hit or as spared.
#[test]
fn an_advisory_is_read_as_the_database_means_it() {
    let known = known();
    let affects = |id: &str, version: &str| {
        let advisory = known.advisory.iter().find(|advisory| advisory.id == id);
        let advisory = advisory.unwrap_or_else(|| panic!("{id} is listed"));
        advisory.affects(&Version::parse(version).expect("a version"))
    };
    assert!(affects("RUSTSEC-2026-0187", "0.41.0"));
    assert!(!affects("RUSTSEC-2026-0187", "0.42.0"));
    assert!(affects("RUSTSEC-2026-0097", "0.10.0"));
    assert!(affects("RUSTSEC-2026-0097", "0.9.2"));
    assert!(!affects("RUSTSEC-2026-0097", "0.9.3"));
    assert!(!affects("RUSTSEC-2026-0097", "0.6.5"));
    assert!(affects("RUSTSEC-2026-0260", "0.3.10"));
    assert!(!affects("RUSTSEC-2026-0260", "0.3.9"));
    assert!(affects("RUSTSEC-2024-0436", "1.0.15"));
    assert!(!affects("RUSTSEC-2022-0048", "0.8.29"), "withdrawn");
}
