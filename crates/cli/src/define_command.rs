//! `rainworth define`: what a fact is.

use crate::arguments::DefineArguments;
use crate::failure::Failure;
use crate::output;
use std::process::ExitCode;

/// Prints one definition, or lists all.
pub(crate) fn run(arguments: &DefineArguments) -> Result<ExitCode, Failure> {
    let definitions = report::Definitions::load().map_err(|error| Failure::Job(error.into()))?;
    let Some(id) = &arguments.id else {
        if arguments.json {
            output::json(&definitions.all())?;
        } else {
            output::data(&definitions.list_text())?;
        }
        return Ok(ExitCode::SUCCESS);
    };
    let Some(definition) = definitions.get(id) else {
        let near = definitions.nearest(id).map(|near| format!("; the nearest is {near}")).unwrap_or_default();
        return Err(Failure::Call(format!("there is no fact {id:?}{near}; `rainworth define` lists all")));
    };
    if arguments.json {
        output::json(definition)?;
    } else {
        output::data(&definitions.text(definition))?;
    }
    Ok(ExitCode::SUCCESS)
}
