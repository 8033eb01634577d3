//! Tables: a head that repeats on every sheet, cells that name their row and column, room to scroll on a phone.

use super::Page;
use crate::document::{Align, Cell, Table, TableData, plain_text};
use crate::escape;

impl<'a> Page<'a> {
    pub(super) fn table(&mut self, table: &'a Table) {
        let label = table.head.iter().map(|cell| plain_text(cell)).collect::<Vec<_>>().join(", ");
        self.open("div", &[("class", "wide"), ("role", "group"), ("aria-label", &label), ("tabindex", "0")]);
        self.raw("<table>\n<thead><tr>");
        let align = |at: usize| class_of(table.columns.get(at).copied().unwrap_or_default());
        for (at, cell) in table.head.iter().enumerate() {
            self.open("th", &[("scope", "col"), ("class", align(at))]);
            self.inlines(cell);
            self.raw("</th>");
        }
        self.raw("</tr></thead>\n<tbody>\n");
        for row in &table.rows {
            self.raw("<tr>");
            for (at, cell) in row.iter().enumerate() {
                if at == 0 {
                    self.open("th", &[("scope", "row"), ("class", align(at))]);
                } else {
                    self.open("td", &[("class", align(at))]);
                }
                self.inlines(cell);
                self.raw(if at == 0 { "</th>" } else { "</td>" });
            }
            self.raw("</tr>\n");
        }
        self.raw("</tbody>\n</table></div>\n");
    }

    pub(super) fn data_table(&mut self, table: &'a TableData) {
        let id = format!("table-{}", escape::id(&table.id));
        let caption = plain_text(&table.caption);
        self.open("div", &[("class", "wide data"), ("id", &id), ("role", "group"), ("aria-label", &caption), ("tabindex", "0")]);
        self.raw("<table>\n");
        if !table.caption.is_empty() {
            self.element("caption", &[], &table.caption);
        }
        self.raw("<thead><tr>");
        for column in &table.columns {
            self.open("th", &[("scope", "col"), ("class", class_of(column.align))]);
            self.inlines(&column.head);
            if let Some(unit) = &column.unit {
                self.raw(" <span class=\"unit\">");
                self.text(unit);
                self.raw("</span>");
            }
            self.raw("</th>");
        }
        self.raw("</tr></thead>\n<tbody>\n");
        for row in &table.rows {
            self.raw(if row.total { "<tr class=\"total\">" } else { "<tr>" });
            for (at, cell) in row.cells.iter().enumerate() {
                let class = class_of(table.columns.get(at).map(|column| column.align).unwrap_or_default());
                let tag = if at == 0 { "th" } else { "td" };
                let mut attributes = vec![("class", class)];
                if at == 0 {
                    attributes.push(("scope", "row"));
                }
                if let Cell::Empty { reason, .. } = cell {
                    attributes.push(("title", reason));
                }
                self.open(tag, &attributes);
                match cell {
                    Cell::Slot(slot) => self.slot(slot),
                    Cell::Empty { mark, reason } => {
                        self.raw("<span aria-hidden=\"true\">");
                        self.text(mark);
                        self.raw("</span><span class=\"hidden\">");
                        self.text(reason);
                        self.raw("</span>");
                    }
                }
                self.raw(if at == 0 { "</th>" } else { "</td>" });
            }
            self.raw("</tr>\n");
        }
        self.raw("</tbody>\n</table>");
        if !table.note.is_empty() {
            self.raw("\n");
            self.element("p", &[("class", "remark")], &table.note);
        }
        self.raw("</div>\n");
    }
}

fn class_of(align: Align) -> &'static str {
    match align {
        Align::Start => "start",
        Align::Centre => "centre",
        Align::End => "end",
    }
}
