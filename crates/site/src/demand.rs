//! What is to be watered: litres a day by month and weekday.

use series::Volume;

/// One use of the water.
#[derive(Debug, Clone, PartialEq)]
pub struct Demand {
    /// As the owner calls it.
    pub name: String,
    /// Litres on a day of that month (January first) on which it is drawn at all.
    pub daily_by_month: [Volume; 12],
    /// On which weekdays (Monday first) it is drawn.
    pub weekdays: [bool; 7],
}
