//! `rainworth templates`: copies of what reports are written on, to be changed and given to `assess --templates`.

use crate::arguments::{Language, TemplatesArguments};
use crate::failure::Failure;
use crate::output;
use anyhow::{Context, anyhow};
use report::Stationery;
use site::site_file::Locale;
use std::fs;
use std::process::ExitCode;

/// Writes the copies into a new or empty folder: work of somebody's hand is never written over.
pub(crate) fn run(arguments: &TemplatesArguments) -> Result<ExitCode, Failure> {
    let out = &arguments.out;
    if fs::read_dir(out).is_ok_and(|mut entries| entries.next().is_some()) {
        return Err(Failure::Job(anyhow!("the folder {} is not empty; nothing was written: name a new one", out.display())));
    }
    let locale = match arguments.locale {
        Language::British => Locale::EnGb,
        Language::American => Locale::EnUs,
    };
    let files = Stationery::shipped_files(locale).map_err(|error| Failure::Job(error.into()))?;
    let write = || -> anyhow::Result<()> {
        fs::create_dir_all(out).with_context(|| format!("cannot make {}", out.display()))?;
        for (name, bytes) in &files {
            let path = out.join(name);
            let mut file = fs::File::create_new(&path).with_context(|| format!("cannot write {}", path.display()))?;
            std::io::Write::write_all(&mut file, bytes).with_context(|| format!("cannot write {}", path.display()))?;
        }
        Ok(())
    };
    write().map_err(Failure::Job)?;
    if arguments.json {
        let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
        output::json(&serde_json::json!({ "folder": out, "files": names }))?;
    }
    output::say(&format!(
        "{} files in {}; keep those that you change, `rainworth assess SITE --templates {}` uses them\n",
        files.len(),
        out.display(),
        out.display()
    ));
    Ok(ExitCode::SUCCESS)
}
