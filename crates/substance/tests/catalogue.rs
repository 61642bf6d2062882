//! The catalogue of the compiled-in tables, as its users see it.
#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use substance::{Basis, Catalogue, LimitKind, Mark, SubstanceClass};

fn find(text: &str) -> &'static substance::Substance {
    Catalogue::builtin().find(text).unwrap()
}

#[test]
fn every_row_parses() {
    let catalogue = Catalogue::read().unwrap_or_else(|error| panic!("{error}"));
    assert!(catalogue.iter().count() > 500);
}

#[test]
fn at_least_400_substances_have_the_properties_of_their_class() {
    let room = quantity::Celsius::from_celsius(22.0).unwrap();
    let complete = Catalogue::builtin()
        .iter()
        .filter(|s| match s.class() {
            SubstanceClass::Particulate => true,
            SubstanceClass::OrganicVapour => {
                s.molar_mass_g_per_mol().is_ok()
                    && s.vapour_pressure(room).is_ok()
                    && s.liquid_density(room).is_ok()
                    && s.molar_polarisation(room).is_ok()
            }
            _ => s.molar_mass_g_per_mol().is_ok(),
        })
        .count();
    assert!(complete >= 500, "{complete}");
}

#[test]
fn a_substance_is_found_by_number_name_and_synonym() {
    for (asked, cas) in [
        ("108-88-3", "108-88-3"),
        ("TOLUENE", "108-88-3"),
        (" methyl-ethyl ketone ", "78-93-3"),
        ("MEK", "78-93-3"),
        ("MIBK", "108-10-1"),
        ("perc", "127-18-4"),
        ("n hexane", "110-54-3"),
        ("limestone", "1317-65-3"),
        ("tetrachloromethane", "56-23-5"),
    ] {
        assert_eq!(find(asked).cas().to_string(), cas, "{asked}");
    }
}

#[test]
fn a_misspelling_offers_the_right_name() {
    let miss = Catalogue::builtin().find("tolueen").unwrap_err();
    assert_eq!(miss.near.first().map(String::as_str), Some("Toluene"), "{miss}");
    let miss = Catalogue::builtin().find("108-88-4").unwrap_err();
    assert_eq!(miss.near, ["108-88-3 (Toluene)"]);
    assert!(Catalogue::builtin().find("qqqqqq").unwrap_err().near.is_empty());
}

#[test]
fn search_puts_names_that_start_so_first() {
    let found = Catalogue::builtin().search("tolu", 5);
    assert_eq!(found.first().map(|s| s.name()), Some("Toluene"));
    assert!(found.len() == 5 && Catalogue::builtin().search("", 5).is_empty());
    assert_eq!(Catalogue::builtin().search("acetne", 3).first().map(|s| s.name()), Some("Acetone"));
    assert_eq!(Catalogue::builtin().search("108-88", 3).first().map(|s| s.name()), Some("Toluene"));
}

#[test]
fn classes_are_right_where_it_matters() {
    for (name, class) in [
        ("toluene", SubstanceClass::OrganicVapour),
        ("methyl alcohol", SubstanceClass::OrganicVapour),
        ("carbon disulfide", SubstanceClass::OrganicVapour),
        ("vinyl chloride", SubstanceClass::OrganicVapour),
        ("chlorine", SubstanceClass::AcidGas),
        ("ammonia", SubstanceClass::AmmoniaAmine),
        ("methylamine", SubstanceClass::AmmoniaAmine),
        ("formaldehyde", SubstanceClass::Formaldehyde),
        ("mercury", SubstanceClass::MercuryVapour),
        ("ethylene oxide", SubstanceClass::EthyleneOxide),
        ("carbon monoxide", SubstanceClass::CarbonMonoxide),
        ("hydrogen cyanide", SubstanceClass::NamedElement),
        ("nitric oxide", SubstanceClass::NoKnownSorbent),
        ("carbon dioxide", SubstanceClass::NoKnownSorbent),
        ("methane", SubstanceClass::NoKnownSorbent),
        ("methyl chloride", SubstanceClass::NoKnownSorbent),
        ("lead", SubstanceClass::Particulate),
        ("quartz", SubstanceClass::Particulate),
        ("asbestos", SubstanceClass::Particulate),
        ("DDT", SubstanceClass::Particulate),
    ] {
        assert_eq!(find(name).class(), class, "{name}");
    }
    for poor in ["methyl alcohol", "methylene chloride", "vinyl chloride", "1,3-butadiene"] {
        assert!(find(poor).poor_sorbent().is_some(), "{poor}");
    }
    assert!(find("toluene").poor_sorbent().is_none());
    assert!(find("naphthalene").also_particulate() && !find("toluene").also_particulate());
}

#[test]
fn lines_that_disagree_are_both_kept_and_the_lower_is_used() {
    let benzene = find("benzene");
    let legal: Vec<_> = benzene.limits().iter().filter(|l| l.kind == LimitKind::LegalTwa).collect();
    assert_eq!(legal.len(), 2);
    let lowest = benzene.lowest_limit(LimitKind::LegalTwa).unwrap();
    assert_eq!(lowest.ppm.map(|p| p.as_ppm()), Some(1.0));
    assert_eq!(lowest.source, "29 CFR 1910.1028");
    assert!(legal.iter().any(|l| l.ppm.map(|p| p.as_ppm()) == Some(10.0)));
}

#[test]
fn each_kind_of_limit_has_its_own_source() {
    let toluene = find("toluene");
    for (kind, ppm) in [
        (LimitKind::LegalTwa, 200.0),
        (LimitKind::LegalCeiling, 300.0),
        (LimitKind::LegalPeak, 500.0),
        (LimitKind::ImmediatelyDangerous, 500.0),
    ] {
        let limit = toluene.lowest_limit(kind).unwrap();
        assert_eq!(limit.ppm.map(|p| p.as_ppm()), Some(ppm), "{kind:?}");
        assert!(!limit.source.is_empty());
    }
    let peak = toluene.lowest_limit(LimitKind::LegalPeak).unwrap();
    assert_eq!(peak.period.as_deref(), Some("10 min"));
}

#[test]
fn a_limit_in_words_is_kept_and_has_no_figure() {
    let asbestos = find("asbestos");
    assert!(asbestos.limits().iter().any(|l| l.other.as_deref().unwrap_or("").contains("fibre")));
    assert!(asbestos.lowest_limit(LimitKind::LegalTwa).is_none());
    let catalogue = Catalogue::builtin();
    assert!(catalogue.limits_without_cas().iter().any(|l| l.variant.contains("Coal dust")));
}

#[test]
fn remembered_values_say_so() {
    let remembered = |s: &substance::Substance| s.limits().iter().any(|l| l.mark == Mark::Memory);
    assert!(Catalogue::builtin().iter().any(remembered));
    let room = quantity::Celsius::from_celsius(22.0).unwrap();
    let density = find("allyl alcohol").liquid_density(room).unwrap();
    assert_eq!(density.basis, Basis::Memory);
    assert!(density.source.contains("value from memory"));
}

// Source: 29 CFR 1910.1000 Table Z-1, the line "Xylenes (o-, m-, p-isomers)".
#[test]
fn xylene_answers_to_its_short_name_and_its_isomers_share_the_limits_of_the_line() {
    let catalogue = Catalogue::builtin();
    let xylene = catalogue.find("xylene").unwrap();
    assert_eq!(xylene.cas().to_string(), "1330-20-7");
    for isomer in ["o-xylene", "m-xylene", "p-xylene"] {
        assert_eq!(catalogue.find(isomer).unwrap().limits(), xylene.limits(), "{isomer}");
    }
    assert!(!catalogue.find("o-cresol").unwrap().limits().is_empty());
}
