//! How sheets are set where a test reads them: in 80 columns, without color, with lines.

use longpoint::report::text::Look;

pub(crate) const LOOK: Look = Look {
    width: 80,
    color: false,
    unicode: true,
};
