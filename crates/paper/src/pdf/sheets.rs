//! What stands in the margins of every sheet: the foot, and the number of the page with how many there are.

use std::rc::Rc;

use super::MM;
use super::flow::{self, Page};
use super::inlines::{Look, Source};
use super::piece::{Mark, Op, QUIET, What};
use super::setter::{CLOSE, Setter};
use super::text::shape;
use crate::document::Align;

impl Setter<'_> {
    /// The foot of every sheet: the running foot, the number of the page and how many there are.
    pub(super) fn feet(&mut self, pages: &mut [Page]) {
        const SIZE: f32 = 7.5;
        let options = self.options;
        let (width, height) = (flow::text_width(options.paper), options.paper.size().1);
        let top = height - flow::BOTTOM + 2.5 * MM;
        let foot = self.styled_text(&options.running_foot, Look::PLAIN.coloured(QUIET), Source::Outside);
        let mut lines = shape(&mut self.faces, &foot, SIZE, CLOSE).lines(width * 0.86, Align::Start);
        lines.truncate(4);
        let count = pages.len();
        for (at, page) in pages.iter_mut().enumerate() {
            let number = self.styled_text(&format!("{} / {count}", at + 1), Look::PLAIN.coloured(QUIET), Source::Own);
            let numbers = shape(&mut self.faces, &number, SIZE, CLOSE).lines(width, Align::End);
            for lines in [&lines, &numbers] {
                let mut y = top;
                for line in lines {
                    for placed in &line.segments {
                        let what = What::Text { segment: Rc::clone(&placed.segment), alt: None };
                        page.ops.push(Op { x: flow::SIDE + placed.x, y: y + line.baseline, mark: Mark::Foot, what });
                    }
                    y += line.height;
                }
            }
        }
    }
}
