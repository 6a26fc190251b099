//! Changes of a JSON file, from the bytes that the fuzzer makes up: so they always are JSON, and reach what lies behind.

use serde_json::{Number, Value};

/// Bytes as numbers; 0 at their end.
pub struct Script<'b>(pub &'b [u8]);

impl Script<'_> {
    fn byte(&mut self) -> u8 {
        let Some((&first, rest)) = self.0.split_first() else {
            return 0;
        };
        self.0 = rest;
        first
    }

    pub fn below(&mut self, n: usize) -> usize {
        let number = usize::from(self.byte()) << 8 | usize::from(self.byte());
        number % n.max(1)
    }

    fn integer(&mut self) -> i64 {
        let bytes = [(); 8].map(|()| self.byte());
        i64::from_le_bytes(bytes)
    }

    /// Changes places below one of `roots` until the bytes end.
    pub fn change(&mut self, file: &mut Value, roots: &[&str]) {
        for _ in 0..16 {
            if self.0.is_empty() {
                return;
            }
            let root = roots[self.below(roots.len())];
            let places = |file: &Value| file.pointer(root).map(places).unwrap_or_default();
            let of = places(file);
            if of.is_empty() {
                return;
            }
            let at = format!("{root}{}", of[self.below(of.len())]);
            let other = format!("{root}{}", of[self.below(of.len())]);
            let other = file.pointer(&other).cloned().unwrap_or_default();
            if let Some(value) = file.pointer_mut(&at) {
                self.change_value(value, other);
            }
        }
    }

    fn change_value(&mut self, value: &mut Value, other: Value) {
        let how = self.byte();
        match value {
            // Rarely, so that most files are of the right shape.
            _ if how > 250 => *value = other,
            _ if how > 247 => *value = Value::Null,
            Value::Null => *value = other,
            Value::Bool(is) => *is = !*is,
            Value::Number(number) => *number = self.number(number, &other, how),
            Value::String(text) => match (how % 3, other) {
                (0, Value::String(other)) => *text = other,
                (1, _) => text.push(char::from(self.byte())),
                _ => {
                    text.pop();
                }
            },
            Value::Array(list) => {
                let (at, to) = (self.below(list.len()), self.below(list.len()));
                match (how % 8, other) {
                    (_, _) if list.is_empty() => list.push(Value::from(self.integer())),
                    (0, _) => {
                        list.remove(at);
                    }
                    (1, _) => list.swap(at, to),
                    (2, _) => list.insert(to, list[at].clone()),
                    (3, _) => list.truncate(at),
                    (4, Value::Array(other)) => *list = other,
                    (5, Value::Array(other)) => list.extend(other),
                    (6, other) => list.push(other),
                    _ => list.reverse(),
                }
            }
            Value::Object(fields) => {
                let key = fields.keys().nth(self.below(fields.len())).cloned();
                let Some(key) = key else { return };
                match (how % 16, other) {
                    (0, _) => {
                        fields.remove(&key);
                    }
                    (1, other) => {
                        fields.insert("more".to_owned(), other);
                    }
                    (2..=5, Value::Object(mut other)) => {
                        if let Some(same) = other.remove(&key) {
                            fields.insert(key, same);
                        }
                    }
                    (6..=9, Value::Object(other)) => *fields = other,
                    _ => {
                        let other = Value::from(self.integer());
                        if let Some(value) = fields.get_mut(&key) {
                            self.change_value(value, other);
                        }
                    }
                }
            }
        }
    }

    fn number(&mut self, number: &Number, other: &Value, how: u8) -> Number {
        let was = number.as_i64().unwrap_or(0);
        Number::from(match how % 12 {
            0 => was.wrapping_add(1),
            1 => was.wrapping_sub(1),
            2 => was.wrapping_neg(),
            3 => 0,
            4 => was.wrapping_mul(2),
            5 => was / 2,
            6 => was.wrapping_add(i64::from(self.byte())),
            7 => was.wrapping_sub(i64::from(self.byte()) << 16),
            8 => other.as_i64().unwrap_or(i64::MAX),
            9 => was.wrapping_add(other.as_i64().unwrap_or(i64::MIN)),
            10 => 1_i64 << (self.byte() % 63),
            _ => self.integer(),
        })
    }
}

/// The pointer of every value below this one, itself first.
fn places(value: &Value) -> Vec<String> {
    let mut found = vec![String::new()];
    let mut next = 0;
    while let Some(at) = found.get(next).cloned() {
        match value.pointer(&at) {
            Some(Value::Array(list)) => {
                found.extend((0..list.len()).map(|idx| format!("{at}/{idx}")));
            }
            Some(Value::Object(fields)) => {
                found.extend(fields.keys().map(|key| format!("{at}/{key}")));
            }
            _ => {}
        }
        next += 1;
    }
    found
}
