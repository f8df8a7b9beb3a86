//! The passphrase of a server that is open to the network: kept as an Argon2id hash.

use argon2::Argon2;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};

/// Shortest passphrase that is taken (NIST SP 800-63B-4, section 3.1.1.2, asks for 15 characters
/// where it is the only factor).
const SHORTEST: usize = 15;

/// Hashes a passphrase with a fresh salt; refuses one that is too short.
pub(crate) fn hash(passphrase: &str) -> Result<String, String> {
    if passphrase.chars().count() < SHORTEST {
        return Err(format!(
            "a passphrase needs at least {SHORTEST} characters: four or five words are easy to remember"
        ));
    }
    Argon2::default()
        .hash_password(passphrase.as_bytes())
        .map(|hash: PasswordHash| hash.to_string())
        .map_err(|error| error.to_string())
}

/// Whether a passphrase is the one that was hashed. Takes some tens of milliseconds on purpose.
pub(crate) fn fits(passphrase: &str, hash: &str) -> bool {
    PasswordHash::new(hash).is_ok_and(|hash| {
        Argon2::default()
            .verify_password(passphrase.as_bytes(), &hash)
            .is_ok()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_right_words_fit_and_no_others() {
        let kept = hash("low brass plays first").unwrap();
        assert!(kept.starts_with("$argon2id$"));
        assert!(fits("low brass plays first", &kept));
        assert!(!fits("low brass plays last", &kept) && !fits("", &kept));
        assert!(!fits("low brass plays first", "no hash"));
        assert!(hash("short").is_err());
        assert_ne!(kept, hash("low brass plays first").unwrap(), "salted");
    }
}
