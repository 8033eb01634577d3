//! Writes a specimen of everything that paper can show, with invented numbers of an invented ferry line.
//!
//! `cargo run -p paper --example specimen -- STYLE.css OUT.html [CHARTS-DIR]`

use std::path::Path;
use std::{env, fs, io};

use paper::{HtmlOptions, to_html};

#[path = "specimen/content.rs"]
mod content;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let arguments: Vec<String> = env::args().skip(1).collect();
    let [style, out, rest @ ..] = arguments.as_slice() else {
        return Err(io::Error::other("usage: specimen STYLE.css OUT.html [CHARTS-DIR]").into());
    };
    if let Some(directory) = rest.first() {
        for chart in content::charts() {
            fs::write(Path::new(directory).join(format!("{}.svg", chart.id)), &chart.svg)?;
        }
    }
    let document = content::document()?;
    let options = HtmlOptions { style: fs::read_to_string(style)?, running_foot: Some(content::FOOT.into()), ..HtmlOptions::default() };
    fs::write(out, to_html(&document, &options))?;
    Ok(())
}
