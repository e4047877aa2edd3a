//! The help of every command and argument, out of the message files, by the path of the command:
//! `about_read`, `arg_read_tool`, `examples_read`. What several commands share is named once: `arg_by`.

use clap::{Arg, ArgAction, Command};
use fallaway_text::{Language, List, Phrase, Voice};

use crate::messages::{CATALOGUE, app};

/// The calculations are a theme of their own.
const THEMES: [&str; 2] = ["help", "calc_help"];

/// Every command and argument with its text in a language; the app's own help is one screen, with the
/// commands of every day.
pub fn described(command: Command, language: Language) -> Command {
    Help { language, looked_up: &mut |_, _| () }.root(command)
}

/// Every command in the order of the work, the options of all of them, and the first steps.
pub fn everything(command: Command, language: Language) -> Command {
    Help { language, looked_up: &mut |_, _| () }.all(command)
}

/// Looks texts up, and tells which, so that a test finds those that nothing needs.
struct Help<'a> {
    language: Language,
    looked_up: &'a mut dyn FnMut(&'static str, &str),
}

impl Help<'_> {
    fn root(mut self, command: Command) -> Command {
        let template = format!(
            "{{about-with-newline}}\n{} {{usage}}\n\n{{before-help}}",
            self.needed("heading_usage")
        );
        let day = self.needed("day");
        self.described(command).help_template(template).before_help(day)
    }

    fn all(mut self, command: Command) -> Command {
        let everywhere = self.needed("heading_everywhere");
        let template = format!("{{before-help}}{everywhere}:\n{{options}}{{after-help}}");
        let (commands, steps) = (self.needed("commands"), self.needed("first_steps"));
        let offered =
            |line: &&str| cfg!(feature = "calc") || !line.trim_start().starts_with("calc ");
        let commands = commands.lines().filter(offered).collect::<Vec<_>>().join("\n");
        self.described(command).help_template(template).before_help(commands).after_help(steps)
    }

    fn described(&mut self, command: Command) -> Command {
        let version = Arg::new("version").short('V').long("version").action(ArgAction::Version);
        self.describe(command.disable_version_flag(true).arg(version), "")
    }

    fn describe(&mut self, command: Command, path: &str) -> Command {
        let usage = self.needed("heading_usage");
        let template =
            format!("{{about-with-newline}}\n{usage} {{usage}}\n\n{{all-args}}{{after-help}}");
        let help = Arg::new("help").short('h').long("help").action(ArgAction::Help);
        let mut command = command
            .about(self.needed(&joined("about", path)))
            .help_template(template)
            .subcommand_help_heading(self.needed("heading_commands"))
            .subcommand_value_name(self.needed("name_command"))
            .disable_help_subcommand(true)
            .disable_help_flag(true)
            .arg(help);
        if let Some(examples) = self.find(&joined("examples", path)) {
            command = command.after_help(examples);
        }
        command.mut_args(|arg| self.argument(arg, path)).mut_subcommands(|sub| {
            let path = joined(path, &sub.get_name().replace('-', "_"));
            self.describe(sub, &path)
        })
    }

    fn argument(&mut self, arg: Arg, path: &str) -> Arg {
        let id = arg.get_id().to_string();
        let group = path.split('_').next().unwrap_or_default();
        let own = self.find(&joined(&joined("arg", path), &id));
        let mut help = own
            .or_else(|| self.find(&joined(&joined("arg", group), &id)))
            .unwrap_or_else(|| self.needed(&joined("arg", &id)));
        let choices = arg.get_possible_values();
        if !arg.is_hide_possible_values_set() && !choices.is_empty() && takes_values(&arg) {
            let choices = choices.iter().map(|choice| Phrase::written(choice.get_name()));
            let choices = Voice::new(self.language).say(&app::choices(List::comma(choices)));
            help = format!("{help} {choices}");
        }
        let heading = self.needed(if arg.is_global_set() {
            "heading_everywhere"
        } else if arg.is_positional() {
            "heading_arguments"
        } else {
            "heading_options"
        });
        let mut names: Vec<String> =
            arg.get_value_names().unwrap_or_default().iter().map(ToString::to_string).collect();
        if names.is_empty() {
            names.push(id);
        }
        let arg = arg.help(help).help_heading(heading);
        if !takes_values(&arg) {
            return arg;
        }
        let names = names.iter().map(|name| {
            let name = name.to_lowercase().replace(['=', '-', '/'], "_");
            self.needed(&joined("name", &name))
        });
        let names: Vec<String> = names.collect();
        arg.value_names(names).hide_possible_values(true).hide_default_value(true)
    }

    /// A text that there has to be; where it is missing its name stands in for it, and a test fails.
    fn needed(&mut self, id: &str) -> String {
        self.find(id).unwrap_or_else(|| id.to_owned())
    }

    fn find(&mut self, id: &str) -> Option<String> {
        let found = THEMES
            .iter()
            .find_map(|theme| Some((theme, CATALOGUE.text(self.language, theme, id)?)));
        let (theme, text) = found?;
        (self.looked_up)(theme, id);
        Some(text)
    }
}

fn takes_values(arg: &Arg) -> bool {
    matches!(arg.get_action(), ArgAction::Set | ArgAction::Append)
}

fn joined(front: &str, back: &str) -> String {
    match (front.is_empty(), back.is_empty()) {
        (true, _) => back.to_owned(),
        (_, true) => front.to_owned(),
        (false, false) => format!("{front}_{back}"),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use clap::CommandFactory as _;

    use super::*;
    use crate::cli::Cli;
    use crate::messages;
    use crate::parse::facts::{self, FACTS};

    fn ids() -> BTreeSet<(&'static str, String)> {
        let mut ids = BTreeSet::new();
        let help = Help {
            language: Language::ENGLISH,
            looked_up: &mut |theme, id| {
                ids.insert((theme, id.to_owned()));
            },
        };
        help.root(Cli::command()).debug_assert();
        let help = Help {
            language: Language::ENGLISH,
            looked_up: &mut |theme, id| {
                ids.insert((theme, id.to_owned()));
            },
        };
        help.all(Cli::command()).debug_assert();
        ids
    }

    #[cfg(feature = "calc")]
    #[test]
    fn every_text_is_there_in_every_language_and_none_is_unused() {
        let ids = ids();
        let facts = FACTS.iter().map(|row| row.word.replace('-', "_"));
        // What is explained in English is explained in every language.
        let explained = |id: &String| CATALOGUE.text(Language::ENGLISH, facts::THEME, id).is_some();
        let facts = facts.filter(explained);
        let ids: Vec<_> = ids.into_iter().chain(facts.map(|fact| (facts::THEME, fact))).collect();
        let by_name: Vec<(&str, &str)> = ids.iter().map(|(at, id)| (*at, id.as_str())).collect();
        let problems = fallaway_text::check::problems(&CATALOGUE, messages::DECLARED, &by_name);
        assert_eq!(problems, Vec::<String>::new());
    }

    #[test]
    fn texts_have_the_signs_of_their_language() {
        let typed = |theme: &str, line: &str| {
            ["help", "calc_help", "prompt"].contains(&theme) || line.contains("fallaway ")
        };
        assert_eq!(fallaway_text::check::signs(&CATALOGUE, typed), Vec::<String>::new());
    }

    #[test]
    fn every_command_and_argument_is_described() {
        for language in Language::all() {
            let mut left = vec![described(Cli::command(), language)];
            while let Some(command) = left.pop() {
                let about = command.get_about().map(ToString::to_string).unwrap_or_default();
                assert!(about.contains(' '), "{}: {about}", command.get_name());
                for arg in command.get_arguments() {
                    let help = arg.get_help().map(ToString::to_string).unwrap_or_default();
                    let id = arg.get_id();
                    assert!(!help.is_empty() && !help.starts_with("arg_"), "{id}: {help}");
                    for name in arg.get_value_names().unwrap_or_default() {
                        assert!(!name.starts_with("name_"), "{id}: {name}");
                    }
                }
                left.extend(command.get_subcommands().cloned());
            }
        }
    }

    #[test]
    fn the_list_of_commands_is_complete() {
        for language in Language::all() {
            let listed = CATALOGUE.text(language, "help", "commands").unwrap();
            for command in Cli::command().get_subcommands().filter(|c| !c.is_hide_set()) {
                let entry = format!("\n  {} ", command.get_name());
                assert!(listed.contains(&entry), "{} is not listed", command.get_name());
            }
        }
    }
}
