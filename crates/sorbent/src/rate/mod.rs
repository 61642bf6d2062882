//! How fast a bed takes up a vapour: the rate coefficient of the bed equation, 1/min.

mod wood_1994;
mod wood_lodewyckx_2003;

pub use wood_1994::wood_1994_rate;
pub use wood_lodewyckx_2003::wood_lodewyckx_2003_rate;
