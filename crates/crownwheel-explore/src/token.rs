//! The word in the address that only the one who started the program knows.

use std::fmt;

/// Random bytes in a token: 128 bits cannot be guessed.
const BYTES: usize = 16;

/// A token.
#[derive(Clone, PartialEq, Eq)]
pub(crate) struct Token(String);

impl Token {
    /// A new one, from the system's source of chance.
    pub(crate) fn draw() -> Result<Token, getrandom::Error> {
        let mut bytes = [0; BYTES];
        getrandom::fill(&mut bytes)?;
        Ok(Token(bytes.iter().map(|byte| format!("{byte:02x}")).collect()))
    }

    /// Whether this is it. How long that takes says nothing about where they differ.
    pub(crate) fn is(&self, said: &str) -> bool {
        let pairs = self.0.bytes().zip(said.bytes());
        let differ = pairs.fold(0, |differ, (own, said)| differ | (own ^ said));
        said.len() == self.0.len() && differ == 0
    }

    pub(crate) fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Token(..)")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_is_128_bits_in_hexadecimal_and_never_the_same() {
        let tokens: Vec<Token> = (0..100).map(|_| Token::draw().unwrap()).collect();
        for (i, token) in tokens.iter().enumerate() {
            assert_eq!(token.as_str().len(), 32);
            assert!(token.as_str().bytes().all(|byte| byte.is_ascii_hexdigit()));
            assert!(!tokens[..i].contains(token));
        }
    }

    #[test]
    fn only_the_whole_token_is_the_token() {
        let token = Token("00112233445566778899aabbccddeeff".to_owned());
        assert!(token.is("00112233445566778899aabbccddeeff"));
        for wrong in [
            "",
            "0",
            "00112233445566778899aabbccddeef",
            "00112233445566778899aabbccddeeff0",
            "10112233445566778899aabbccddeeff",
            "00112233445566778899aabbccddeefe",
            "00112233445566778899AABBCCDDEEFF",
        ] {
            assert!(!token.is(wrong), "{wrong}");
        }
    }

    #[test]
    fn a_token_is_not_shown_in_what_is_written_for_developers() {
        let token = Token::draw().unwrap();
        assert!(!format!("{token:?}").contains(token.as_str()));
    }
}
