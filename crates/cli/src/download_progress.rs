//! What happens on the way, on a terminal: a bar for each file that comes, and a line when it is waited. In a pipe nothing.

use crate::today;
use indicatif::{MultiProgress, ProgressBar, ProgressStyle};
use ingest::download::{Caller, Event};
use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};
use std::time::SystemTime;

/// The bars of all files under way; lends the clock too.
pub(crate) struct Progress {
    all: MultiProgress,
    bars: Mutex<HashMap<String, ProgressBar>>,
}

impl Progress {
    pub(crate) fn new() -> Self {
        // Draws on standard error, and only if that is a terminal.
        Self { all: MultiProgress::new(), bars: Mutex::default() }
    }

    /// Takes the bars away.
    pub(crate) fn end(&self) {
        // A terminal that cannot be cleared is nobody's loss.
        let _ = self.all.clear();
    }

    fn bar(&self, path: &str) -> ProgressBar {
        let mut bars = self.bars.lock().unwrap_or_else(PoisonError::into_inner);
        let bar = bars.entry(path.to_owned()).or_insert_with(|| {
            let bar = self.all.add(ProgressBar::new_spinner());
            // Until it is known what there is to show, only whose row it is.
            bar.set_style(style("{prefix}"));
            bar.set_prefix(path.to_owned());
            bar
        });
        bar.clone()
    }
}

fn style(template: &str) -> ProgressStyle {
    ProgressStyle::with_template(template).unwrap_or_else(|_| ProgressStyle::default_bar())
}

impl Caller for Progress {
    fn now(&self) -> SystemTime {
        today::now()
    }

    fn event(&self, event: Event<'_>) {
        match event {
            Event::Begun { path, have, length } => {
                let bar = self.bar(path);
                match length {
                    Some(length) => {
                        bar.set_length(length);
                        bar.set_style(style("{prefix}  {bytes} of {total_bytes}  {wide_bar}"));
                    }
                    None => bar.set_style(style("{prefix}  {bytes}")),
                }
                bar.set_position(have);
            }
            Event::Received { path, bytes } => self.bar(path).inc(bytes),
            Event::Waiting { path, wait, why } => {
                let bar = self.bar(path);
                bar.set_style(style("{prefix}  {msg}"));
                bar.set_message(format!("{why}; waiting {:.1} s", wait.as_secs_f64()));
                bar.tick();
            }
            Event::InUse { path } => {
                let bar = self.bar(path);
                bar.set_style(style("{prefix}  {msg}"));
                bar.set_message("another process is bringing it");
                bar.tick();
            }
            Event::Done { path } => {
                if let Some(bar) = self.bars.lock().unwrap_or_else(PoisonError::into_inner).remove(path) {
                    bar.finish_and_clear();
                }
            }
        }
    }
}
