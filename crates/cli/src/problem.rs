//! Problems with the input, gathered and shown all at once.

use std::fmt;
use std::sync::Arc;

use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError, MietteSpanContents, SourceCode,
    SourceSpan, SpanContents,
};

/// At most this many problems are shown; the rest are counted.
const SHOWN: usize = 40;

/// What diagnostics call the command line.
pub const COMMAND_LINE: &str = "command line";

/// A text that was read, with the name that diagnostics give it.
pub type Source = Arc<SourceText>;

/// A named text.
#[derive(Debug)]
pub struct SourceText {
    /// What diagnostics call it.
    pub name: String,
    /// The text.
    pub text: String,
}

impl SourceCode for SourceText {
    /// As the library reads a text, but with columns in characters: the library counts bytes.
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let inner = self.text.as_str().read_span(span, before, after)?;
        let start = inner.span().offset();
        let line = self.text[..start].rfind('\n').map_or(0, |at| at + 1);
        let column = self.text[line..start].chars().count();
        let (data, span, number, lines) = (inner.data(), *inner.span(), inner.line(), inner.line_count());
        Ok(Box::new(MietteSpanContents::new_named(self.name.clone(), data, span, number, column, lines)))
    }
}

impl SourceText {
    /// The bytes of `length` characters from a line and a column, both from 1; as much of them as
    /// the line has. Past the line's end it is empty.
    #[must_use]
    pub fn span(&self, line: usize, column: usize, length: usize) -> (usize, usize) {
        let before: usize = self.text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
        let row = self.text[before..].lines().next().unwrap_or_default();
        let byte = |characters: usize| row.char_indices().nth(characters).map_or(row.len(), |(at, _)| at);
        let from = column.saturating_sub(1);
        (before + byte(from), before + byte(from.saturating_add(length)))
    }
}

/// A place in a text that was read: bytes `start..end`.
#[derive(Clone, Debug)]
pub struct At {
    /// The text.
    pub source: Source,
    /// First byte.
    pub start: usize,
    /// The byte after the last one.
    pub end: usize,
}

impl At {
    /// The place of `length` characters from a line and a column, both from 1.
    #[must_use]
    pub fn line(source: &Source, line: usize, column: usize, length: usize) -> Self {
        let (start, end) = source.span(line, column, length);
        Self { source: source.clone(), start, end }
    }
}

/// A value and where it was written.
#[derive(Clone, Debug)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// Where it was written.
    pub at: At,
}

/// One thing that is wrong, where, and how to mend it.
#[derive(Clone, Debug, thiserror::Error)]
#[error("{message}")]
pub struct Problem {
    message: String,
    label: String,
    help: Option<String>,
    at: Option<At>,
}

impl Problem {
    /// A problem with no place in a text.
    #[must_use]
    pub fn new(message: impl Into<String>) -> Self {
        Self { message: message.into(), label: String::new(), help: None, at: None }
    }

    /// As a warning for a terminal: where, what, and how to mend it.
    #[must_use]
    pub fn as_warning(&self) -> String {
        let place = self.at.as_ref().map(|at| {
            let before = &at.source.text[..at.start];
            let line = 1 + before.matches('\n').count();
            let column = 1 + before.rsplit('\n').next().unwrap_or_default().chars().count();
            format!("{}:{line}:{column}: ", at.source.name)
        });
        let help = self.help.as_ref().map(|help| format!("\n  help: {help}"));
        format!("warning: {}{}{}", place.unwrap_or_default(), self.message, help.unwrap_or_default())
    }

    /// Adds how to mend it, as one sentence.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Whether it is about the command line, not about the file.
    #[must_use]
    pub fn is_of_command_line(&self) -> bool {
        self.at.as_ref().is_some_and(|at| at.source.name == COMMAND_LINE)
    }

    /// Adds where it is, and a few words to stand under that place.
    #[must_use]
    pub fn at(mut self, at: &At, label: impl Into<String>) -> Self {
        self.at = Some(at.clone());
        self.label = label.into();
        self
    }
}

impl Diagnostic for Problem {
    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.help.as_ref().map(|help| Box::new(help) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.at.as_ref().map(|at| &*at.source as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let at = self.at.as_ref()?;
        let label = (!self.label.is_empty()).then(|| self.label.clone());
        Some(Box::new(std::iter::once(LabeledSpan::new(label, at.start, at.end - at.start))))
    }
}

/// Everything that is wrong with one input, in the order in which it was written.
#[derive(Debug, thiserror::Error)]
#[error("{}", self.headline())]
pub struct Problems {
    input: String,
    list: Vec<Problem>,
}

impl Problems {
    /// The problems found in `input` (a file's name).
    #[must_use]
    pub fn new(input: impl Into<String>, mut list: Vec<Problem>) -> Self {
        let input = input.into();
        // In the order of the file; then those of the command line; then those without a place.
        list.sort_by_key(|problem| {
            let start = problem.at.as_ref().map_or(usize::MAX, |at| at.start);
            // The input itself before other files that it names.
            let file = problem.at.as_ref().map(|at| at.source.name.clone()).filter(|name| *name != input);
            (problem.at.is_none(), problem.is_of_command_line(), file, start)
        });
        Self { input, list }
    }

    /// The problems themselves.
    #[must_use]
    pub fn into_list(self) -> Vec<Problem> {
        self.list
    }

    /// How many there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.list.len()
    }

    /// As shown on a terminal `width` characters wide without colours.
    #[must_use]
    pub fn plain(&self, width: usize) -> String {
        let handler = GraphicalReportHandler::new_themed(GraphicalTheme::unicode_nocolor())
            .with_width(width)
            .with_links(false)
            .with_context_lines(1);
        let mut text = String::new();
        // Writing to a String cannot fail, and a diagnostic that could not be drawn still has its headline.
        if handler.render_report(&mut text, self).is_err() {
            text = self.headline();
        }
        text
    }

    fn headline(&self) -> String {
        let more = match self.list.len() {
            n if n > SHOWN => format!(" (the first {SHOWN} are shown)"),
            _ => String::new(),
        };
        match self.list.len() {
            1 => format!("1 problem in {}", self.input),
            n => format!("{n} problems in {}{more}", self.input),
        }
    }
}

impl Diagnostic for Problems {
    fn related<'a>(&'a self) -> Option<Box<dyn Iterator<Item = &'a dyn Diagnostic> + 'a>> {
        Some(Box::new(self.list.iter().take(SHOWN).map(|problem| problem as &dyn Diagnostic)))
    }
}
