//! The command `quote`: what a job costs, and what is asked for it.

use std::path::Path;
use std::time::Instant;

use crate::compare::{Forced, find_forced};
use crate::diag::Diagnostics;
use crate::job::{AskedPrice, Job, PriceRules};
use crate::load::{Boards, read_price_list};
use crate::paper::quote_page;
use crate::pipeline::Planned;
use crate::quote::{JobCosts, Quote, TooLarge, count_costs, listed_prices, quote as price};
use crate::report::csv::{quote_costs_csv, quote_csv};
use crate::report::json::{quote_costs_json, quote_json};
use crate::report::sections::{customer_sheet, shop_sheet};
use crate::report::text::{Look, set};
use crate::solve::Control;

use super::args::{QuoteArgs, QuoteFor, QuoteFormat};
use super::disk::Disk;
use super::files::Output;
use super::plan::{planned_way, steer};
use super::screen::Screen;
use super::watch::Watch;
use super::{Ended, Fault, Input, print, read, warn, write};

/// Runs the command.
pub(super) fn quote(args: &QuoteArgs, screen: Screen) -> Result<Ended, Fault> {
    let started = Instant::now();
    let Input {
        job, files: inputs, ..
    } = read(&args.job, Boards::Needed)?;
    if job.prices == PriceRules::default() && args.prices.is_none() {
        return Err(Fault::Usage(
            "the job says nothing of prices, so all that could be asked is what it costs\n\
             hint: say what the shop asks in a table `[price]`; see `longpoint help quote`"
                .to_owned(),
        ));
    }
    let list = args.prices.as_deref().map(|path| read_list(path, &job));
    let list = list.transpose()?;
    let job = args.vehicle.limit(job)?;
    let watch = Watch::start(&job, started, args.limit.time, args.out.as_deref());
    let stop = || watch.stop();
    let progress = |progress| watch.tell(progress);
    let control = Control {
        stop: &stop,
        progress: &progress,
    };
    let is_shops = args.sheet == QuoteFor::Shop || args.out.is_some();
    let found = planned_way(&job, args.way.as_deref(), &control);
    let found = found.and_then(|planned| {
        let forced = if is_shops {
            find_forced(&planned.plan, &steer(&stop))
                .map_err(|violations| Fault::rejected(&violations))?
        } else {
            Vec::new()
        };
        Ok((planned, forced))
    });
    watch.end();
    let (planned, forced) = found?;
    let priced = Offer::new(&planned, forced, list.as_deref().unwrap_or(&[]))?;
    if let Some(dir) = &args.out {
        let mut outputs = priced.for_customer(screen.file_look());
        outputs.extend(priced.for_shop(screen.file_look()));
        write(dir, &outputs, &inputs, args.replace)?;
    }
    let name = match (args.sheet, args.format) {
        (QuoteFor::Customer, QuoteFormat::Text) => "quote.txt",
        (QuoteFor::Customer, QuoteFormat::Csv) => "quote.csv",
        (QuoteFor::Customer, QuoteFormat::Json) => "quote.json",
        (QuoteFor::Shop, QuoteFormat::Text) => "quote-costs.txt",
        (QuoteFor::Shop, QuoteFormat::Csv) => "quote-costs.csv",
        (QuoteFor::Shop, QuoteFormat::Json) => "quote-costs.json",
    };
    let look = screen.look(args.look.width);
    let outputs = match args.sheet {
        QuoteFor::Customer => priced.for_customer(look),
        QuoteFor::Shop => priced.for_shop(look),
    };
    let shown = outputs.iter().find(|output| output.name == name);
    print(shown.map_or("", |output| output.text.as_str()))?;
    Ok(if priced.is_complete() {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}

/// The rows of a price list.
fn read_list(path: &Path, job: &Job) -> Result<Vec<AskedPrice>, Fault> {
    let mut faults = Diagnostics::default();
    let list = read_price_list(path, &Disk::new(path), job, &mut faults);
    let has_errors = faults.n_errors() > 0;
    let told = faults.into_sorted();
    if has_errors {
        return Err(Fault::Input(told));
    }
    warn(&told);
    Ok(list)
}

/// A plan with its costs and prices.
pub(super) struct Offer<'a> {
    planned: &'a Planned,
    costs: JobCosts,
    quote: Quote,
    forced: Vec<Forced>,
}

impl Offer<'_> {
    /// Counts and prices a plan.
    ///
    /// `list`: prices that stand in place of those that the rules of the job make.
    pub(super) fn new<'p>(
        planned: &'p Planned,
        forced: Vec<Forced>,
        list: &[AskedPrice],
    ) -> Result<Offer<'p>, Fault> {
        let job = &planned.plan.job;
        let priced = count_costs(&planned.plan, &planned.materials).and_then(|costs| {
            let listed = listed_prices(job, &costs.sold, list);
            let quote = price(costs.sold.clone(), &listed, &job.prices)?;
            Ok((costs, quote))
        });
        let (costs, quote) = priced.map_err(|TooLarge| {
            Fault::Usage(
                "the prices of this job are too large to be reckoned with\n\
                 hint: look for a slip in the amounts, percentages and quantities of the job"
                    .to_owned(),
            )
        })?;
        Ok(Offer {
            planned,
            costs,
            quote,
            forced,
        })
    }

    fn job(&self) -> &Job {
        &self.planned.plan.job
    }

    fn is_complete(&self) -> bool {
        let mut materials = self.planned.materials.iter();
        self.planned.plan.missing.is_empty()
            && materials.all(|material| material.missing.is_empty())
    }

    /// What may be handed out.
    pub(super) fn for_customer(&self, look: Look) -> Vec<Output> {
        let (job, costs, quote) = (self.job(), &self.costs, &self.quote);
        let sheet = customer_sheet(job, costs, quote);
        let output = |name, text| Output { name, text };
        vec![
            output("quote.txt", set(&sheet, look)),
            output("quote.html", quote_page(job, &sheet)),
            output("quote.csv", quote_csv(job, costs, quote)),
            output("quote.json", quote_json(job, costs, quote)),
        ]
    }

    /// What stays in the shop.
    pub(super) fn for_shop(&self, look: Look) -> Vec<Output> {
        let (job, quote) = (self.job(), &self.quote);
        let sheet = shop_sheet(job, &self.costs, quote, &self.forced);
        let output = |name, text| Output { name, text };
        vec![
            output("quote-costs.txt", set(&sheet, look)),
            output(
                "quote-costs.csv",
                quote_costs_csv(job, &self.costs, quote, &self.forced),
            ),
            output(
                "quote-costs.json",
                quote_costs_json(job, &self.costs, quote, &self.forced),
            ),
        ]
    }
}
