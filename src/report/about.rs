//! What a report says of itself: scenario, sources of error, and how to make it again.

/// One source of error as the assumptions list it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceRow {
    /// Name in words.
    pub name: String,
    /// Key in a scenario file.
    pub key: String,
    /// How many things it acts on.
    pub items: usize,
    /// What those things are.
    pub acts_on: &'static str,
    /// Its law in words.
    pub law: String,
    /// Where the law comes from.
    pub origin: String,
}

/// A report's particulars. Nothing in it changes between two runs of the same command.
#[derive(Debug, Clone)]
pub struct About {
    /// Short name: the scenario file's stem.
    pub name: String,
    /// Title of the scenario.
    pub title: String,
    /// What its author says of it.
    pub note: Option<String>,
    /// The scenario file, as it was named.
    pub file: String,
    /// The same as one word of a shell.
    pub shell_file: String,
    /// SHA-256 of the scenario and the files that it names.
    pub sha256: String,
    /// Grade of work.
    pub grade: String,
    /// The command that makes the report again, without what does not change it (threads, places).
    pub command: String,
    /// Every source of error.
    pub sources: Vec<SourceRow>,
    /// Warnings about the scenario.
    pub warnings: Vec<String>,
}
