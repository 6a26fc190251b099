//! Two files field by field.

use serde_json::Value;

/// A field that does not say what it must.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// Where it stands: a JSON pointer (RFC 6901).
    pub path: String,
    /// What is said, as JSON; `None` where there is no such field.
    pub says: Option<String>,
    /// What it must be, as JSON; `None` where there must be no such field.
    pub must_be: Option<String>,
}

/// Every field of `says` that is not as in `must_be`, in the order of the file that it must be.
pub(super) fn differences(says: &Value, must_be: &Value) -> Vec<Difference> {
    let mut found = Vec::new();
    compare(says, must_be, &mut String::new(), &mut found);
    found
}

fn compare(says: &Value, must_be: &Value, path: &mut String, found: &mut Vec<Difference>) {
    match (says, must_be) {
        (Value::Object(says), Value::Object(must_be)) => {
            let lost = must_be.keys();
            let added = says.keys().filter(|key| !must_be.contains_key(*key));
            for key in lost.chain(added) {
                let token = key.replace('~', "~0").replace('/', "~1");
                step(&token, says.get(key), must_be.get(key), path, found);
            }
        }
        (Value::Array(says), Value::Array(must_be)) => {
            for at in 0..says.len().max(must_be.len()) {
                step(&at.to_string(), says.get(at), must_be.get(at), path, found);
            }
        }
        _ if says == must_be => {}
        _ => found.push(Difference {
            path: path.clone(),
            says: Some(says.to_string()),
            must_be: Some(must_be.to_string()),
        }),
    }
}

/// Compares a field of the object or list at `path`.
fn step(
    token: &str,
    says: Option<&Value>,
    must_be: Option<&Value>,
    path: &mut String,
    found: &mut Vec<Difference>,
) {
    let before = path.len();
    path.push('/');
    path.push_str(token);
    match (says, must_be) {
        (Some(says), Some(must_be)) => compare(says, must_be, path, found),
        _ => found.push(Difference {
            path: path.clone(),
            says: says.map(Value::to_string),
            must_be: must_be.map(Value::to_string),
        }),
    }
    path.truncate(before);
}
