//! What shells and `man` are told of the command line, both made from `args` itself.

use std::io;
use std::path::Path;

use clap::CommandFactory as _;
use clap_mangen::Man;

use super::args::{CompletionsArgs, ManArgs, Typed};
use super::files::{self, Over};
use super::{Ended, Fault, disk, print};

/// What is typed for a folder to have its files printed.
const STANDARD_OUTPUT: &str = "-";

/// Prints the script for a shell.
pub(super) fn completions(args: &CompletionsArgs) -> Result<Ended, Fault> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Typed::command(), "longpoint", &mut script);
    print(&String::from_utf8_lossy(&script))?;
    Ok(Ended::Complete)
}

/// Writes or prints the manual pages.
pub(super) fn man(args: &ManArgs) -> Result<Ended, Fault> {
    let pages = pages()?;
    if args.dir == Path::new(STANDARD_OUTPUT) {
        let texts: Vec<&str> = pages.iter().map(|(_, text)| text.as_str()).collect();
        print(&texts.concat())?;
    } else {
        let texts = pages
            .iter()
            .map(|(name, text)| (name.as_str(), text.as_str()));
        files::write_texts(&args.dir, texts, &[], &[], Over::Own)?;
        print(&format!(
            "wrote {} manual pages into {}\n",
            pages.len(),
            disk::shown(&args.dir)
        ))?;
    }
    Ok(Ended::Complete)
}

/// File name and text of the page of the program and of each command.
fn pages() -> io::Result<Vec<(String, String)>> {
    let mut program = Typed::command();
    program.build();
    let commands = program.get_subcommands().cloned();
    let all = [program.clone()].into_iter().chain(commands);
    all.map(|command| {
        let page = Man::new(command);
        let mut text = Vec::new();
        page.render(&mut text)?;
        Ok((
            page.get_filename(),
            String::from_utf8_lossy(&text).into_owned(),
        ))
    })
    .collect()
}
