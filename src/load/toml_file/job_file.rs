//! What a job file holds, table by table, and what it takes from the file of its shop.

use toml::de::DeTable;

use super::values::is_at_top;
use super::{TomlText, is_of_jobs};
use crate::diag::Diagnostics;
use crate::load::record::{Field, Record};
use crate::load::schema::{self, Schema};
use crate::load::ways::WayRecord;

/// What a job file holds, as records.
pub(in crate::load) struct JobFile<'a> {
    /// The keys above the first table.
    pub(in crate::load) head: Record<'a>,
    pub(in crate::load) saw: Record<'a>,
    pub(in crate::load) shop: Record<'a>,
    /// `None` where the file has no such table, so that boards are not ripped.
    pub(in crate::load) rip: Option<Record<'a>>,
    pub(in crate::load) assembly: Record<'a>,
    pub(in crate::load) hanging: Record<'a>,
    pub(in crate::load) mouldings: Vec<Record<'a>>,
    pub(in crate::load) sheets: Vec<Record<'a>>,
    pub(in crate::load) spacers: Vec<Record<'a>>,
    pub(in crate::load) hardware: Vec<Record<'a>>,
    pub(in crate::load) sheet_stock: Rows<'a>,
    pub(in crate::load) sheet_rack: Rows<'a>,
    pub(in crate::load) frames: Rows<'a>,
    pub(in crate::load) pieces: Rows<'a>,
    pub(in crate::load) boards: Rows<'a>,
    pub(in crate::load) tally: Rows<'a>,
    pub(in crate::load) rack: Rows<'a>,
    pub(in crate::load) bought: Rows<'a>,
    pub(in crate::load) in_hand: Record<'a>,
    pub(in crate::load) labels: Record<'a>,
    pub(in crate::load) tables: Record<'a>,
    pub(in crate::load) prices: Record<'a>,
    pub(in crate::load) buying: Record<'a>,
    pub(in crate::load) ways: Vec<WayRecord<'a>>,
}

impl<'a> JobFile<'a> {
    /// The unit that the file states, if it does.
    pub(in crate::load) fn states_unit(&self) -> bool {
        self.head.field("unit").is_some()
    }

    /// Takes from the file of its shop what the job does not say itself: settings key by key, mouldings, sheets, spacers,
    /// hardware and ways by their names. Boards, tally and rack of the shop stand in files of their own or here, and are read beside the
    /// job's.
    pub(in crate::load) fn fall_back_on(&mut self, shop: JobFile<'a>) -> ShopRows<'a> {
        let mut head = shop.head;
        // A step of rounding belongs to its unit.
        if self.states_unit() {
            head.fields.retain(|field| field.name != "rounding");
        }
        self.head.fall_back_on(head);
        self.saw.fall_back_on(shop.saw);
        self.shop.fall_back_on(shop.shop);
        self.assembly.fall_back_on(shop.assembly);
        self.hanging.fall_back_on(shop.hanging);
        self.in_hand.fall_back_on(shop.in_hand);
        self.labels.fall_back_on(shop.labels);
        self.tables.fall_back_on(shop.tables);
        self.prices.fall_back_on(shop.prices);
        self.buying.fall_back_on(shop.buying);
        match (&mut self.rip, shop.rip) {
            (Some(own), Some(rip)) => own.fall_back_on(rip),
            (own @ None, rip) => *own = rip,
            (Some(_), None) => {}
        }
        add_others(&mut self.mouldings, shop.mouldings, |record| record);
        add_others(&mut self.sheets, shop.sheets, |record| record);
        add_others(&mut self.spacers, shop.spacers, |record| record);
        add_others(&mut self.hardware, shop.hardware, |record| record);
        add_others(&mut self.ways, shop.ways, |way| &way.record);
        ShopRows {
            boards: shop.boards,
            tally: shop.tally,
            rack: shop.rack,
            sheet_stock: shop.sheet_stock,
            sheet_rack: shop.sheet_rack,
        }
    }
}

/// Adds those of the shop of which the job has none of the same name.
fn add_others<'a, T>(own: &mut Vec<T>, shop: Vec<T>, record: impl Fn(&T) -> &Record<'a>) {
    let name = |item: &T| {
        let field = record(item).field("name");
        field.map(|field| field.text.clone().into_owned())
    };
    let names: Vec<Option<String>> = own.iter().map(&name).collect();
    let others = shop.into_iter().filter(|item| {
        let name = name(item);
        name.is_none() || !names.contains(&name)
    });
    own.extend(others);
}

/// Where the boards and sheets of a shop are.
pub(in crate::load) struct ShopRows<'a> {
    pub(in crate::load) boards: Rows<'a>,
    pub(in crate::load) tally: Rows<'a>,
    pub(in crate::load) rack: Rows<'a>,
    pub(in crate::load) sheet_stock: Rows<'a>,
    pub(in crate::load) sheet_rack: Rows<'a>,
}

/// Where the rows of frames, pieces or boards are.
pub(in crate::load) enum Rows<'a> {
    /// There are none.
    Absent,
    /// A value of the wrong type, which has been reported.
    Spoiled,
    /// In the job file.
    Inline(Vec<Record<'a>>),
    /// In CSV files whose paths the fields hold, one or more.
    Files(Vec<Field<'a>>),
}

impl TomlText {
    pub(super) fn job_file<'a>(
        &'a self,
        root: &DeTable<'a>,
        faults: &mut Diagnostics,
    ) -> JobFile<'a> {
        let mut head = self.empty_record(&schema::HEAD);
        for (key, value) in root {
            match schema::HEAD.column(key.get_ref()) {
                _ if self.is_of_shop && is_of_jobs(key.get_ref()) => {
                    faults.push(self.not_of_shop(key));
                }
                Some(column) => self.add_field(&mut head, column, value, faults),
                None if is_at_top(key.get_ref()) => {}
                None => faults.push(self.unknown_key(key, &schema::HEAD)),
            }
        }
        let mut table = |schema| self.table(root, schema, faults);
        let saw = table(&schema::SAW);
        let shop = table(&schema::SHOP);
        let rip = root
            .contains_key(schema::RIP.name)
            .then(|| table(&schema::RIP));
        let assembly = table(&schema::ASSEMBLY);
        let hanging = table(&schema::HANGING);
        let in_hand = table(&schema::IN_HAND);
        let labels = table(&schema::LABELS);
        let tables = table(&schema::TABLES);
        let prices = table(&schema::PRICE);
        let buying = table(&schema::BUYING);
        let ways = self.ways(root, faults);
        let mut rows = |schema: &'static Schema| {
            if self.is_of_shop && is_of_jobs(schema.name) {
                return Rows::Absent;
            }
            self.rows(root, schema, faults)
        };
        let listed = |rows: Rows<'a>| match rows {
            Rows::Inline(records) => records,
            Rows::Absent | Rows::Spoiled | Rows::Files(_) => Vec::new(),
        };
        JobFile {
            head,
            saw,
            shop,
            rip,
            assembly,
            hanging,
            mouldings: listed(rows(&schema::MOULDINGS)),
            sheets: listed(rows(&schema::SHEETS)),
            spacers: listed(rows(&schema::SPACERS)),
            hardware: listed(rows(&schema::HARDWARE)),
            sheet_stock: rows(&schema::SHEET_STOCK),
            sheet_rack: rows(&schema::SHEET_RACK),
            frames: rows(&schema::FRAMES),
            pieces: rows(&schema::PIECES),
            boards: rows(&schema::BOARDS),
            tally: rows(&schema::TALLY),
            rack: rows(&schema::RACK),
            bought: rows(&schema::BOUGHT),
            in_hand,
            labels,
            tables,
            prices,
            buying,
            ways,
        }
    }
}
