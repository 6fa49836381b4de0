//! The name of a cell, as it is a folder's: `02_width-1220_gap-3_seed-1`.

/// The name of the variant that changes nothing.
const PLAIN: &str = "job";

/// Which variant, and which seed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellName {
    /// Number of the variant, from 1.
    pub variant: u32,
    /// What is different, as option and value: `("width", "1220")`.
    pub settings: Vec<(String, String)>,
    /// The seed.
    pub seed: u64,
}

impl CellName {
    /// As the name of a folder.
    pub fn folder(&self) -> String {
        let settings: Vec<String> = self.settings.iter().map(|(k, v)| format!("{k}-{v}")).collect();
        let settings = if settings.is_empty() { PLAIN.to_owned() } else { settings.join("_") };
        format!("{:02}_{settings}_seed-{}", self.variant, self.seed)
    }

    /// The name that a folder has; `None` when it is no cell's. Options and their values are plain words and numbers.
    pub fn of_folder(folder: &str) -> Option<Self> {
        if !folder.bytes().all(|b| b.is_ascii_alphanumeric() || b"._-".contains(&b)) {
            return None;
        }
        let (variant, rest) = folder.split_once('_')?;
        let (settings, seed) = rest.rsplit_once("_seed-")?;
        let setting = |s: &str| s.split_once('-').map(|(k, v)| (k.to_owned(), v.to_owned()));
        let settings = match settings {
            PLAIN => Vec::new(),
            list => list.split('_').map(setting).collect::<Option<_>>()?,
        };
        let name = Self { variant: variant.parse().ok()?, settings, seed: seed.parse().ok()? };
        (name.folder() == folder).then_some(name)
    }

    /// For people.
    pub fn label(&self) -> String {
        if self.settings.is_empty() {
            return "as the job says".to_owned();
        }
        self.settings.iter().map(|(k, v)| format!("{k} {v}")).collect::<Vec<_>>().join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_go_round() {
        for folder in
            ["01_job_seed-1", "02_width-1220_gap-3_seed-18446744073709551615", "13_grain-two-way_seed-2"]
        {
            assert_eq!(CellName::of_folder(folder).unwrap().folder(), folder);
        }
        assert_eq!(
            CellName::of_folder("02_width-610_grain-two-way_seed-1").unwrap().label(),
            "width 610, grain two-way"
        );
    }

    #[test]
    fn other_folders_are_no_cells() {
        for folder in [
            "",
            "out",
            "1_job_seed-1",
            "01_job",
            "01_width_seed-1",
            "x_job_seed-1",
            "01_job_seed-01",
            "01_job_seed--1",
            "01_<b>-1_seed-1",
            "01_a\u{1b}[2J-1_seed-1",
            "01_gap-\u{202e}1_seed-1",
        ] {
            assert_eq!(CellName::of_folder(folder), None, "{folder}");
        }
    }
}
