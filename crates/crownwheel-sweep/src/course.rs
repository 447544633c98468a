//! What options are asked: the questions, and the days that they name with what is unsure of them.

use std::sync::Arc;

use crownwheel_quantities::{Demand, NamedCycle, NotThere, Question, Questions, Supply};

use crownwheel::unsure::DayModel;

/// Steps of a full-throttle run in the worlds, s. The answer moves by less than a thousandth against
/// the 0.02 s of a single build.
const THROTTLE_STEP_S: f64 = 0.05;

/// Everything that an option is asked.
#[derive(Clone, Debug)]
pub struct Course {
    /// The questions, with their cycles and supplies.
    pub questions: Questions,
    /// Days that questions name; the first stands where a question names none.
    pub days: Vec<DayModel>,
}

impl Course {
    /// A course for these questions; what demands ask beside them is added. Days that no question needs
    /// are left out.
    ///
    /// # Errors
    /// The first question that names a cycle, day or supply that is not there.
    pub fn new(
        mut list: Vec<Question>,
        demands: &[Demand],
        cycles: Vec<NamedCycle>,
        days: Vec<DayModel>,
        supplies: Vec<Supply>,
    ) -> Result<Course, NotThere> {
        for condition in demands.iter().flat_map(|demand| &demand.conditions) {
            if !list.contains(&condition.question) {
                list.push(condition.question.clone());
            }
        }
        let days = asked_for(days, &list);
        let names = days.iter().map(|day| day.day.name.clone()).collect();
        let questions = Questions::new(list, cycles, names, supplies)?;
        let questions = questions.judged_by(demands).in_steps_of(THROTTLE_STEP_S);
        Ok(Course { questions, days })
    }

    /// The questions, in the order of their answers.
    #[must_use]
    pub fn names(&self) -> &Arc<[Question]> {
        self.questions.list()
    }

    /// Place of a question.
    #[must_use]
    pub fn place(&self, question: &Question) -> Option<usize> {
        self.questions.place(question)
    }
}

/// The days that questions name, and the first where one names none.
fn asked_for(days: Vec<DayModel>, list: &[Question]) -> Vec<DayModel> {
    let is_named = |day: &DayModel| list.iter().any(|it| it.day() == Some(&day.day.name));
    let first = list.iter().any(|it| it.day().is_none());
    let needed = |(place, day): &(usize, DayModel)| (first && *place == 0) || is_named(day);
    days.into_iter().enumerate().filter(needed).map(|(_, day)| day).collect()
}
