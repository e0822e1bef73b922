//! Reads a DXF file by its group codes, without the library that wrote it.

/// One entity: its kind, and its codes with their values in turn.
#[derive(Debug, Clone)]
pub struct DxfEntity {
    /// Such as `CIRCLE`.
    pub kind: String,
    pairs: Vec<(i32, String)>,
}

impl DxfEntity {
    /// The value of a code.
    pub fn text(&self, code: i32) -> &str {
        self.pairs
            .iter()
            .find(|(found, _)| *found == code)
            .map_or_else(
                || panic!("a {} has no code {code}", self.kind),
                |(_, value)| value,
            )
    }

    /// The same as a number.
    pub fn number(&self, code: i32) -> f64 {
        self.text(code).trim().parse().expect("a number")
    }
}

/// A file's header variables and entities.
#[derive(Debug)]
pub struct DxfFile {
    /// Name and first value.
    pub header: Vec<(String, String)>,
    /// In the file's order.
    pub entities: Vec<DxfEntity>,
    /// Names of the layers in its table.
    pub layers: Vec<String>,
}

impl DxfFile {
    /// Reads a file.
    pub fn read(text: &str) -> Self {
        let lines: Vec<&str> = text.lines().collect();
        assert!(
            lines.len().is_multiple_of(2),
            "codes and values come in pairs"
        );
        let pairs: Vec<(i32, &str)> = lines
            .chunks(2)
            .map(|pair| (pair[0].trim().parse().expect("a group code"), pair[1]))
            .collect();
        assert_eq!(pairs.last(), Some(&(0, "EOF")));
        let mut file = Self {
            header: Vec::new(),
            entities: Vec::new(),
            layers: Vec::new(),
        };
        let (mut section, mut item) = ("", "");
        for (nth, (code, value)) in pairs.iter().enumerate() {
            match (*code, *value) {
                (0, "SECTION") => section = pairs[nth + 1].1,
                (0, "ENDSEC") => section = "",
                (0, kind) => {
                    item = kind;
                    if section == "ENTITIES" {
                        file.entities.push(DxfEntity {
                            kind: kind.to_owned(),
                            pairs: Vec::new(),
                        });
                    }
                }
                (9, name) if section == "HEADER" => {
                    file.header
                        .push((name.to_owned(), pairs[nth + 1].1.to_owned()));
                }
                (2, name) if section == "TABLES" && item == "LAYER" => {
                    file.layers.push(name.to_owned());
                }
                (code, value) => {
                    if let (true, Some(entity)) = (section == "ENTITIES", file.entities.last_mut())
                    {
                        entity.pairs.push((code, value.to_owned()));
                    }
                }
            }
        }
        file
    }

    /// The entities of a layer.
    pub fn on(&self, layer: &str) -> Vec<&DxfEntity> {
        self.entities
            .iter()
            .filter(|entity| entity.text(8) == layer)
            .collect()
    }
}
