//! Props by their names: what files call, to the parts that are folded.

use crate::problem::Problem;
use crate::set_file::PropCall;
use crate::set_file::reader::{listed, nearest};
use crate::templates::Library;
use crate::templates::design_draw::{Given, Site};
use crate::templates::prop_draw::{Part, draw};

/// The parts of a prop; none where it cannot be drawn.
pub(super) fn parts<'a>(
    PropCall(call): &PropCall,
    library: &'a Library,
    site: Site<'_>,
    problems: &mut Vec<Problem>,
) -> Vec<Part<'a>> {
    let name = &call.name.value.0;
    let Some(file) = library.prop(name) else {
        let known = library.props();
        let near = nearest(name, &known).map(|near| format!("did you mean \"{near}\"? "));
        let help = format!("{}props are {}", near.unwrap_or_default(), listed(&known, "and"));
        problems.push(Problem::new(format!("\"{name}\" is not a prop")).at(&call.name.at, "here").help(help));
        return Vec::new();
    };
    let given =
        call.values.iter().map(|(key, text, at)| Given { key: key.clone(), text: text.clone(), at: at.clone() });
    draw(file, &given.collect::<Vec<_>>(), site, problems).unwrap_or_default()
}
