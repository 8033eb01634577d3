//! The site file.
