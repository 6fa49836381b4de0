//! `tuckroll completions` and `tuckroll man`: made from the one declaration of the command line.

use super::args::{CompletionsArgs, ManArgs, Typed};
use super::say;
use clap::{Command, CommandFactory};
use clap_mangen::Man;
use tuckroll::Error;

const NAME: &str = "tuckroll";

/// Prints the completions for a shell.
pub fn completions(args: CompletionsArgs) -> Result<u8, Error> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Typed::command(), NAME, &mut script);
    say::out(&script)?;
    Ok(0)
}

/// Prints a manual page.
pub fn page(args: ManArgs) -> Result<u8, Error> {
    let mut program = Typed::command();
    program.build();
    let command = match &args.command {
        None => program,
        Some(name) => named(&program, name)?,
    };
    let mut page = Vec::new();
    Man::new(command).render(&mut page).map_err(|e| Error::Internal(e.to_string()))?;
    say::out(&page)?;
    Ok(0)
}

/// One of the commands.
fn named(program: &Command, name: &str) -> Result<Command, Error> {
    let Some(command) = program.find_subcommand(name) else {
        let known: Vec<&str> = program.get_subcommands().map(Command::get_name).collect();
        let what = format!("there is no command {name:?}");
        return Err(Error::input("man", what, format!("the commands are {}", known.join(", "))));
    };
    Ok(command.clone())
}
