//! `longpoint help`: what is said of a command, from `args`, and of a topic, from the guide.

use std::fmt::Write as _;
use std::io;

use clap::CommandFactory as _;

use crate::help::screen::on_screen;
use crate::help::{TOPICS, of_code, speaking_of, topic};

use super::args::{HelpArgs, Typed};
use super::screen::{Screen, color_on};
use super::{Ended, Fault, print};

/// Prints what is known of a command, a topic or both; the list of them without either.
pub(super) fn help(args: &HelpArgs, screen: Screen) -> Result<Ended, Fault> {
    let page = screen.page();
    let Some(subject) = args.subject.as_deref() else {
        print(&on_screen(&contents(), page))?;
        return Ok(Ended::Complete);
    };
    let of_command = of_command(subject);
    let of_topic =
        topic(&subject.replace(' ', "-")).map(|topic| on_screen(&topic.markdown(), page));
    let of_code = of_code(subject).map(|markdown| on_screen(&markdown, page));
    let mut found: Vec<String> = of_command
        .into_iter()
        .chain(of_topic)
        .chain(of_code)
        .collect();
    if found.is_empty() {
        let of_word = of_word(subject).map(|markdown| on_screen(&markdown, page));
        found.push(of_word.ok_or_else(|| Fault::Usage(unknown(subject)))?);
    }
    print(&found.join("\n"))?;
    Ok(Ended::Complete)
}

/// The command line with all its commands, ready to be asked.
fn command_line() -> clap::Command {
    let mut typed = Typed::command();
    typed.build();
    typed
}

/// What `--help` says of a command.
fn of_command(name: &str) -> Option<String> {
    let mut typed = command_line();
    let help = typed.find_subcommand_mut(name)?.render_long_help();
    Some(if color_on(&io::stdout()) {
        help.ansi().to_string()
    } else {
        help.to_string()
    })
}

/// The topics that speak of a word of the trade, in Markdown.
fn of_word(word: &str) -> Option<String> {
    let topics = speaking_of(word);
    if topics.is_empty() || word.trim().is_empty() {
        return None;
    }
    let mut list = format!(
        "# {word}\n\n`longpoint help TOPIC` tells more of it in these.\n\n\
        | topic | what it says of it first |\n| --- | --- |\n"
    );
    for (topic, line) in topics {
        let _ = writeln!(list, "| `{}` | {line} |", topic.name);
    }
    Some(list)
}

/// The list of commands and topics, in Markdown.
fn contents() -> String {
    let mut list = "# The guide\n\n\
        `longpoint help COMMAND` says how a command is called.\n\
        `longpoint help TOPIC` explains one of the topics below.\n\n\
        | command | what it does |\n| --- | --- |\n"
        .to_owned();
    for command in command_line().get_subcommands() {
        let about = command.get_about().map(ToString::to_string);
        let _ = writeln!(
            list,
            "| `{}` | {} |",
            command.get_name(),
            about.unwrap_or_default()
        );
    }
    list += "\n| topic | what it explains |\n| --- | --- |\n";
    for topic in TOPICS {
        let _ = writeln!(list, "| `{}` | {} |", topic.name, topic.title());
    }
    list
}

/// What is said where there is no such command or topic.
fn unknown(subject: &str) -> String {
    let typed = command_line();
    let commands = typed.get_subcommands().map(clap::Command::get_name);
    let names = commands.chain(TOPICS.iter().map(|topic| topic.name));
    let near = names.min_by_key(|name| strsim::damerau_levenshtein(subject, name));
    let near = near.filter(|name| strsim::damerau_levenshtein(subject, name) <= 2);
    let hint = match near {
        Some(name) => format!("did you mean `longpoint help {name}`?"),
        None => "`longpoint help` lists them all".to_owned(),
    };
    let subject = crate::diag::quoted(subject);
    format!("there is no command or topic {subject}\nhint: {hint}")
}
