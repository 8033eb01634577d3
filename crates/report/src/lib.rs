//! Placeholder heading; see DEVELOPERS.md.
