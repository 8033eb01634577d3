//! Tests of the whole, from outside.
