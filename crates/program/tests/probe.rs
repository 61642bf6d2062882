//! probe
#[cfg(test)]
mod support;
#[cfg(test)]
mod t {
    use super::support::plant::*;
    #[test]
    fn probe() {
        for m in ["half","full","powered","hood","airline","carried","dust-mask"] {
            let mut p = Plant::good(); p.of_model(m);
            let v = p.verdict();
            println!("{m} {:?}", v.decision);
            for f in &v.findings { println!("  {} {} {} / {} {:?}", f.severity, f.rule.id, f.text(), f.remedy(), f.evidence); }
        }
        println!("{:?}", Plant::good().verdict().checked);
    }
}
