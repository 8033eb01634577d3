//! Pieces: what is set and never broken, with the rules that bind it to its neighbour; and the nodes of the tag tree.

use std::rc::Rc;
use std::sync::Arc;

use krilla::tagging::TagKind;

use super::text::Segment;

/// How strongly a piece is kept with the next one; where not all fits on a sheet, the weaker rule gives way first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) enum Keep {
    /// A sheet may end here.
    #[default]
    Free,
    /// A lead-in and what it leads to.
    LeadIn,
    /// A table, box or group that fits on one sheet.
    Whole,
    /// A heading and its text, the first and last two lines of a paragraph, a table's head and its first row.
    Bound,
}

/// What a drawing operation belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mark {
    /// The leaf of that number in the tag tree.
    Leaf(usize),
    /// Nothing that is read: rules, repeated heads.
    Decoration,
    /// The head and the foot of a sheet.
    Head,
    Foot,
}

/// A colour, red, green and blue.
pub(super) type Colour = [u8; 3];
pub(super) const INK: Colour = [0, 0, 0];
pub(super) const QUIET: Colour = [0x3D, 0x3D, 0x3D];
pub(super) const LINE: Colour = [0xB5, 0xB5, 0xB5];
pub(super) const STRONG_LINE: Colour = [0x5E, 0x5E, 0x5E];

/// Something to be drawn, at its place in the piece and later on the sheet.
#[derive(Clone)]
pub(super) struct Op {
    pub(super) x: f32,
    pub(super) y: f32,
    pub(super) mark: Mark,
    pub(super) what: What,
}

#[derive(Clone)]
pub(super) enum What {
    /// Shaped text; x, y: start of the baseline. The text is read out as `alt` where that is given.
    Text { segment: Rc<Segment>, alt: Option<String> },
    /// The number of the sheet that a place is on, ending at x; becomes text when the sheets are known.
    PageOf { anchor: String, size: f32 },
    /// A filled rectangle.
    Rectangle { width: f32, height: f32, colour: Colour },
    /// A box to tick.
    TickBox { size: f32, ticked: bool, alt: String },
    /// A drawing.
    Chart { width: f32, height: f32, tree: Arc<usvg::Tree> },
    /// A place that can be gone to; not drawn.
    Anchor(String),
    /// A heading, for the outline; not drawn.
    Outline { level: u8, text: String },
    /// The area of a link.
    Link { width: f32, height: f32, target: String, alt: String },
}

/// A node of the tag tree.
pub(super) enum Node {
    Group(TagKind, Vec<Node>),
    Leaf(usize),
}

/// What a piece shows; read by tests only.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Kind {
    Heading,
    #[default]
    Text,
    Head,
    Row,
    Other,
}

#[derive(Clone, Default)]
pub(super) struct Piece {
    pub(super) kind: Kind,
    /// Space before and after; between two pieces the larger one counts, at the ends of a sheet none.
    pub(super) before: f32,
    pub(super) after: f32,
    pub(super) height: f32,
    pub(super) ops: Vec<Op>,
    pub(super) keep: Keep,
    /// Drawn again where this piece comes first on a sheet.
    pub(super) head: Option<Rc<Piece>>,
    pub(super) new_page: bool,
    /// Pieces to be set in two columns, the second one this far to the right.
    pub(super) columns: Option<(Vec<Piece>, f32)>,
}

impl Piece {
    pub(super) fn shift(&mut self, x: f32, y: f32) {
        for op in &mut self.ops {
            op.x += x;
            op.y += y;
        }
        if let Some(head) = &mut self.head {
            let mut moved = (**head).clone();
            moved.shift(x, y);
            *head = Rc::new(moved);
        }
        if let Some((inner, _)) = &mut self.columns {
            for piece in inner {
                piece.shift(x, y);
            }
        }
    }

    /// The same piece, to be drawn again as decoration.
    pub(super) fn again(&self) -> Rc<Piece> {
        let mut again = self.clone();
        again.ops.retain(|op| !matches!(op.what, What::Link { .. } | What::Anchor(_) | What::Outline { .. }));
        Rc::new(again)
    }

    /// Where the text of the piece ends, from its left.
    pub(super) fn right(&self) -> f32 {
        self.ops.iter().fold(0.0_f32, |right, op| match &op.what {
            What::Text { segment, .. } => right.max(op.x + segment.width),
            What::Rectangle { width, .. } | What::Chart { width, .. } => right.max(op.x + width),
            _ => right,
        })
    }

    /// Turns the space before into a part of the piece, so that a box around it has no gaps.
    pub(super) fn take_space(&mut self, space: f32) {
        self.shift(0.0, space);
        self.height += space;
        self.before = 0.0;
        self.after = 0.0;
    }
}

/// Set blocks: what stands on the sheet and what it means.
#[derive(Default)]
pub(super) struct Set {
    pub(super) pieces: Vec<Piece>,
    pub(super) nodes: Vec<Node>,
}

impl Set {
    pub(super) fn add(&mut self, other: Set) {
        self.pieces.extend(other.pieces);
        self.nodes.extend(other.nodes);
    }

    pub(super) fn shift(&mut self, x: f32) {
        self.pieces.iter_mut().for_each(|piece| piece.shift(x, 0.0));
    }

    /// Binds each piece to the next, but the last.
    pub(super) fn bind(&mut self, keep: Keep) {
        let inner = self.pieces.len().saturating_sub(1);
        self.pieces[..inner].iter_mut().for_each(|piece| piece.keep = piece.keep.max(keep));
    }

    pub(super) fn space(&mut self, before: f32, after: f32) {
        if let Some(first) = self.pieces.first_mut() {
            first.before = first.before.max(before);
        }
        if let Some(last) = self.pieces.last_mut() {
            last.after = last.after.max(after);
        }
    }
}
