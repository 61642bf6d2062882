//! The distributions that the statistics of an exposure group rest on.

mod noncentral_t;
mod normal;
mod quadrature;

pub use noncentral_t::{
    noncentral_t_cdf, noncentral_t_quantile, noncentrality_at, tolerance_factor,
};
pub use normal::{inverse_mills, log_normal_cdf, normal_cdf, normal_quantile};
pub(super) use quadrature::{integrate, panels};
