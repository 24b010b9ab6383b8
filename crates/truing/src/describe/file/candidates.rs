//! What is on the truck where the owner may not be sure: nothing said, one value, or several to choose from.

/// Zero, one or several values, in the order in which they were given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Candidates<T>(Vec<T>);

impl<T> Candidates<T> {
    /// Nothing said.
    pub fn absent() -> Self {
        Self(Vec::new())
    }

    /// Known to be this.
    pub fn known(value: T) -> Self {
        Self(vec![value])
    }

    /// One of these.
    pub fn from_values(values: Vec<T>) -> Self {
        Self(values)
    }

    /// Whether nothing is said.
    pub fn is_absent(&self) -> bool {
        self.0.is_empty()
    }

    /// The value, where there is exactly one.
    pub fn single(&self) -> Option<&T> {
        match self.0.as_slice() {
            [only] => Some(only),
            _ => None,
        }
    }

    /// All values.
    pub fn all(&self) -> &[T] {
        &self.0
    }

    /// The same with every value turned into another.
    pub fn map<U>(&self, turn: impl FnMut(&T) -> U) -> Candidates<U> {
        Candidates(self.0.iter().map(turn).collect())
    }
}

impl<T> Default for Candidates<T> {
    fn default() -> Self {
        Self::absent()
    }
}
