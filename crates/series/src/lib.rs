//! The ground of Rainworth: days, readings, daily series, stations, provenance, diagnostics, quantities and facts.
//!
//! No input or output, no clock, no statistics. Every other crate stands on these few types, so each is plain data with
//! its rules written beside it:
//!
//! * a depth of rain in a record is an exact integer of micrometres ([`Reading`]); sums are exact, thresholds are exact;
//! * a missing day is never zero, and every day of the calendar is counted once ([`DayCounts`]);
//! * quantities beyond the record carry their unit in the type ([`Depth`], [`Area`], [`Volume`], ...);
//! * a number that may appear on a page is a [`Fact`].

mod daily_series;
mod day;
mod day_definition;
mod diagnostic;
mod extent;
mod fact;
pub mod math;
mod provenance;
mod quantity;
mod reading;
mod station;
mod temperature;
mod written_form;

pub use daily_series::{DailySeries, DayCounts, MultiDayTotal};
pub use day::{Day, DayError, Period, days_in_month, is_leap_year};
pub use day_definition::{DayDefinition, DayLabel};
pub use diagnostic::{Diagnostic, Diagnostics, Severity};
pub use extent::Extent;
pub use fact::{Band, Fact, FactId, FactValue, Unit, Withheld};
pub use provenance::{FileOrigin, Place, Provenance, Run, SourceFile};
pub use quantity::{
    Area, Depth, Distance, Flow, Head, Intensity, LITRES_PER_US_GALLON, Length, Mass, Pressure, Quantity, QuantityError, UnitSystem, Volume,
};
pub use reading::{Kind, Qualifier, Qualifiers, Reading, Rejection};
pub use station::Station;
pub use temperature::DailyTemperature;
pub use written_form::{DateOrder, DepthUnit};
